import { crc16, crcStart, crcStep } from './crc.ts';
import { bad, badCrc, type BadLine, type WireSample } from './lines.ts';

const space = 0x20;
const minus = 0x2d;
const zero = 0x30;
const mostDigits = 10;

const malformed = bad('malformed', 'sample: not the right number of integers in range');
/** The integers of the line that is read, all but the microseconds, which would not fit in 32 bits with a sign. */
const integers = new Int32Array(12);
let micros = 0;

/**
 * Reads `count` integers of the body of a sample line, `end` characters long, and its CRC in the same walk.
 * @returns the CRC; -1 when an integer is not canonical, not in the range of its place, or not followed by a space or the end
 */
function walk(line: string, end: number, count: number): number {
  let crc = crcStep(crcStart, line.charCodeAt(0));
  let at = 1;
  for (let index = 0; index < count; index += 1) {
    if (line.charCodeAt(at) !== space) return -1;
    crc = crcStep(crc, space);
    at += 1;
    const isNegative = line.charCodeAt(at) === minus;
    if (isNegative) {
      crc = crcStep(crc, minus);
      at += 1;
    }
    const first = at;
    let value = 0;
    while (at < end) {
      const code = line.charCodeAt(at);
      const digit = code - zero;
      if (digit < 0 || digit > 9) break;
      crc = crcStep(crc, code);
      value = value * 10 + digit;
      at += 1;
    }
    const digits = at - first;
    if (digits === 0 || digits > mostDigits || (digits > 1 && line.charCodeAt(first) === zero)) return -1;
    if (index > 1) {
      if (isNegative ? value === 0 || value > 32768 : value > 32767) return -1;
      integers[index] = isNegative ? -value : value;
    } else {
      if (isNegative || value > (index === 0 ? 65535 : 4294967295)) return -1;
      if (index === 0) integers[0] = value;
      else micros = value;
    }
  }
  return at === end ? crc : -1;
}

/**
 * Decodes the body of a sample line, `end` characters long, whose CRC should be `stated`. CRC and integers are worked out in one
 * walk, since this runs for every sample that comes.
 */
export function decodeSample(line: string, end: number, stated: number, withGyro: boolean): WireSample | BadLine {
  const crc = walk(line, end, withGyro ? 12 : 9);
  if (crc < 0) return crc16(line, end) === stated ? malformed : badCrc;
  if (crc !== stated) return badCrc;
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
