import { bad, type BadLine, type WireSample } from './lines.ts';

const space = 0x20;
const minus = 0x2d;
const zero = 0x30;
/** Digits whose value surely fits in 31 bits. */
const sureDigits = 9;

const malformed = bad('malformed', 'sample: not the right number of integers in range');
/** The counts of the line that is read. */
const counts = new Int32Array(10);

/**
 * Decodes the body of a sample line, bytes 0 to `end` with a space behind it, whose CRC is right. Straight from the bytes, since
 * this runs for every sample that comes.
 */
export function decodeSample(line: Uint8Array, end: number, withGyro: boolean): WireSample | BadLine {
  const fields = withGyro ? 12 : 9;
  let at = 1;
  let seq = 0;
  let micros = 0;
  for (let field = 0; field < fields; field += 1) {
    if (line[at] !== space) return malformed;
    at += 1;
    const isNegative = line[at] === minus;
    if (isNegative) at += 1;
    const first = at;
    let value = 0;
    for (let digit = line[at] - zero; digit >= 0 && digit <= 9 && at - first < sureDigits; digit = line[at] - zero) {
      value = value * 10 + digit;
      at += 1;
    }
    if (at === first || (at - first > 1 && line[first] === zero)) return malformed;
    if (field > 1) {
      if (isNegative ? value === 0 || value > 32768 : value > 32767) return malformed;
      counts[field - 2] = isNegative ? -value : value;
    } else if (isNegative) {
      return malformed;
    } else if (field === 0) {
      if (value > 65535) return malformed;
      seq = value;
    } else {
      const tenth = line[at] - zero;
      const isLong = tenth >= 0 && tenth <= 9;
      micros = isLong ? value * 10 + tenth : value;
      if (isLong) at += 1;
      if (micros > 4294967295) return malformed;
    }
  }
  if (at !== end) return malformed;
  return {
    kind: 'sample',
    seq,
    micros,
    accel: [counts[0], counts[1], counts[2]],
    field: [counts[3], counts[4], counts[5]],
    rate: withGyro ? [counts[6], counts[7], counts[8]] : undefined,
    temperature: counts[withGyro ? 9 : 6],
  };
}
