import { crc16 } from './crc.ts';
import { decodeHello } from './hello.ts';
import { maxLineBytes, type BadLine, type BadReason, type Decoded, type WireSample } from './lines.ts';

const space = 0x20;
const minus = 0x2d;
const zero = 0x30;

const bad = (reason: BadReason, what: string): BadLine => ({ kind: 'bad', bad: reason, what });
const noise = bad('noise', 'bytes that are not ASCII text');
const foreign = bad('foreign', 'text that is not a line of this protocol');
const headMissing = bad('torn', 'the head of the line is missing');
const tailMissing = bad('torn', 'the tail of the line is missing');
const badCrc = bad('badCrc', 'the CRC does not fit the line');
const overLong = bad('overLong', `longer than ${maxLineBytes} bytes`);
const malformedSample = bad('malformed', 'sample: not the right number of integers in range');

const isKind = (code: number): boolean => code >= 0x41 && code <= 0x5a;

/** Value of four upper-case hexadecimal digits at `at`, -1 when they are not. */
function hex4(line: string, at: number): number {
  let value = 0;
  for (let i = at; i < at + 4; i += 1) {
    const code = line.charCodeAt(i);
    if (code >= 0x30 && code <= 0x39) value = (value << 4) | (code - 0x30);
    else if (code >= 0x41 && code <= 0x46) value = (value << 4) | (code - 0x37);
    else return -1;
  }
  return value;
}

const unsigned16 = [0, 65535] as const;
const unsigned32 = [0, 4294967295] as const;
const signed16 = [-32768, 32767] as const;
const signed32 = [-2147483648, 2147483647] as const;

const integers = new Float64Array(12);

/** Reads the integers of a sample into `integers`; false unless there are exactly `count`, canonical and in range. */
function readIntegers(line: string, start: number, end: number, count: number): boolean {
  let at = start;
  for (let index = 0; index < count; index += 1) {
    if (at >= end || line.charCodeAt(at) !== space) return false;
    at += 1;
    let code = line.charCodeAt(at);
    const negative = code === minus;
    if (negative) code = line.charCodeAt((at += 1));
    const first = at;
    let value = 0;
    while (at < end && code >= zero && code <= zero + 9) {
      value = value * 10 + (code - zero);
      code = line.charCodeAt((at += 1));
    }
    const digits = at - first;
    if (digits === 0 || digits > 10) return false;
    if (digits > 1 && line.charCodeAt(first) === zero) return false;
    if (negative && value === 0) return false;
    const [low, high] = index === 0 ? unsigned16 : index === 1 ? unsigned32 : signed16;
    const signed = negative ? -value : value;
    if (signed < low || signed > high) return false;
    integers[index] = signed;
  }
  return at === end;
}

function decodeSample(line: string, end: number, withGyro: boolean): WireSample | BadLine {
  if (!readIntegers(line, 1, end, withGyro ? 12 : 9)) return malformedSample;
  const i = integers;
  const sample: WireSample = {
    kind: 'sample',
    seq: i[0],
    micros: i[1],
    accel: [i[2], i[3], i[4]],
    field: [i[5], i[6], i[7]],
    rate: withGyro ? [i[8], i[9], i[10]] : undefined,
    temperature: withGyro ? i[11] : i[8],
  };
  return sample;
}

function integer(text: string | undefined, [low, high]: readonly [number, number]): number | undefined {
  if (text === undefined || !/^(0|-?[1-9]\d{0,9})$/.test(text)) return undefined;
  const value = Number(text);
  return value >= low && value <= high ? value : undefined;
}

const isWord = (text: string | undefined): text is string => text !== undefined && /^[a-z0-9-]{1,24}$/.test(text);

function decodeOther(letter: string, fields: readonly string[]): Decoded {
  const [first, second] = fields;
  switch (letter) {
    case 'H':
      return decodeHello(fields);
    case 'E': {
      const count = integer(second, unsigned32);
      if (fields.length !== 2 || !isWord(first) || count === undefined)
        return bad('malformed', 'event: not code count');
      return { kind: 'event', code: first, count };
    }
    case 'T': {
      const [value, low, high] = fields.slice(2).map((field) => integer(field, signed32));
      const isWhole = value !== undefined && low !== undefined && high !== undefined;
      if (fields.length !== 5 || !isWord(first) || (second !== 'pass' && second !== 'fail') || !isWhole)
        return bad('malformed', 'self-test: not name verdict value low high');
      return { kind: 'test', name: first, passed: second === 'pass', value, low, high };
    }
    case 'A':
      if (fields.length !== 1 || !isWord(first)) return bad('malformed', 'acknowledgement: not one request');
      return { kind: 'acknowledged', request: first };
    case 'N':
      if (fields.length !== 2 || !isWord(first) || !isWord(second))
        return bad('malformed', 'refusal: not request reason');
      return { kind: 'refused', request: first, reason: second };
    default:
      return { kind: 'unknown', letter };
  }
}

/** Why a line without a sound head and tail is not one of ours. */
function withoutFrame(line: string, hasHead: boolean, hasTail: boolean): BadLine {
  for (let i = 0; i < line.length; i += 1) {
    const code = line.charCodeAt(i);
    if ((code < space && code !== 9) || code > 0x7e) return noise;
  }
  if (hasTail) return headMissing;
  return hasHead && /^[A-Z] [-+=.*A-Za-z0-9 ]*$/.test(line) ? tailMissing : foreign;
}

/**
 * Decodes one line, given with or without its line end, one character a byte (latin1). Never throws. The samples of a
 * board without a gyro have `rate` undefined.
 */
export function decodeLine(line: string): Decoded {
  let length = line.length;
  if (line.charCodeAt(length - 1) === 0x0a) length -= 1;
  if (line.charCodeAt(length - 1) === 0x0d) length -= 1;
  if (length > maxLineBytes - 2) return overLong;
  const end = length - 6;
  const hasHead = isKind(line.charCodeAt(0)) && line.charCodeAt(1) === space;
  const stated =
    end >= 1 && line.charCodeAt(end) === space && line.charCodeAt(end + 1) === 0x2a ? hex4(line, end + 2) : -1;
  if (!hasHead || stated < 0) return withoutFrame(line.slice(0, length), hasHead, stated >= 0);
  if (crc16(line, end) !== stated) return badCrc;
  const kind = line.charCodeAt(0);
  if (kind === 0x53) return decodeSample(line, end, false);
  if (kind === 0x47) return decodeSample(line, end, true);
  const body = line.slice(2, end);
  return decodeOther(line[0], body.length === 0 ? [] : body.split(' '));
}
