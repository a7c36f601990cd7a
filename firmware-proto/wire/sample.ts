import { crcStart, crcStep } from './crc.ts';
import { bad, badCrc, type BadLine, type WireSample } from './lines.ts';

const space = 0x20;
const minus = 0x2d;
const zero = 0x30;
const mostDigits = 10;

const malformed = bad('malformed', 'sample: not the right number of integers in range');
/** The integers of the line that is read, all but the microseconds, which would not fit in 32 bits with a sign. */
const integers = new Int32Array(12);
let micros = 0;

/** Keeps one integer of a sample; false when it is not canonical or not in the range of its place. */
function keep(index: number, value: number, digits: number, isNegative: boolean): boolean {
  if (digits === 0 || digits > mostDigits) return false;
  integers[index] = isNegative ? -value : value;
  if (index === 0) return !isNegative && value <= 65535;
  if (index === 1) {
    micros = value;
    return !isNegative && value <= 4294967295;
  }
  return isNegative ? value > 0 && value <= 32768 : value <= 32767;
}

/**
 * Decodes the body of a sample line, `end` characters long, whose CRC should be `stated`. CRC and integers are worked out in one
 * walk, since this runs for every sample that comes.
 */
export function decodeSample(line: string, end: number, stated: number, withGyro: boolean): WireSample | BadLine {
  const count = withGyro ? 12 : 9;
  let crc = crcStep(crcStart, line.charCodeAt(0));
  let index = -1;
  let value = 0;
  let digits = 0;
  let isNegative = false;
  let isSound = true;
  for (let at = 1; at < end; at += 1) {
    const code = line.charCodeAt(at);
    crc = crcStep(crc, code);
    if (code === space) {
      if (index >= 0 && !keep(index, value, digits, isNegative)) isSound = false;
      index = index + 1 < count ? index + 1 : 0;
      if (index === 0 && at > 1) isSound = false;
      value = 0;
      digits = 0;
      isNegative = false;
    } else if (code === minus) {
      if (digits > 0 || isNegative) isSound = false;
      isNegative = true;
    } else {
      const digit = code - zero;
      if (digit < 0 || digit > 9 || (digits > 0 && value === 0)) isSound = false;
      value = value * 10 + digit;
      digits += 1;
    }
  }
  if (crc !== stated) return badCrc;
  if (!isSound || index !== count - 1 || !keep(index, value, digits, isNegative)) return malformed;
  const i = integers;
  return {
    kind: 'sample',
    seq: i[0],
    micros,
    accel: [i[2], i[3], i[4]],
    field: [i[5], i[6], i[7]],
    rate: withGyro ? [i[8], i[9], i[10]] : undefined,
    temperature: withGyro ? i[11] : i[8],
  };
}
