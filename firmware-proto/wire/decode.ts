import { bytesOf, textOf } from './bytes.ts';
import { crc16 } from './crc.ts';
import { decodeHello } from './hello.ts';
import { maxLineBytes, bad, badCrc, type BadLine, type Decoded } from './lines.ts';
import { decodeParticulars } from './particulars.ts';
import { decodeSample } from './sample.ts';

const space = 0x20;
const star = 0x2a;
const letterS = 0x53;
const letterG = 0x47;

const noise = bad('noise', 'bytes that are not ASCII text');
const foreign = bad('foreign', 'text that is not a line of this protocol');
const headMissing = bad('torn', 'the start of the line is missing');
const tailMissing = bad('torn', 'the tail of the line is missing');
const overLong = bad('overLong', `longer than ${maxLineBytes} bytes`);

const isKind = (code: number): boolean => code >= 0x41 && code <= 0x5a;

/** Value of four upper-case hexadecimal digits at `at`, -1 when they are not. */
function hex4(line: Uint8Array, at: number): number {
  let value = 0;
  for (let i = at; i < at + 4; i += 1) {
    const code = line[i];
    if (code >= 0x30 && code <= 0x39) value = (value << 4) | (code - 0x30);
    else if (code >= 0x41 && code <= 0x46) value = (value << 4) | (code - 0x37);
    else return -1;
  }
  return value;
}

const unsigned32 = [0, 4294967295] as const;
const signed32 = [-2147483648, 2147483647] as const;

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
    case 'P':
      return decodeParticulars(fields);
    default:
      return { kind: 'unknown', letter };
  }
}

/** Why a line without a sound head and tail is not one of ours. */
function withoutFrame(line: string, hasHead: boolean, hasTail: boolean): BadLine {
  if (/[^\t -~]/.test(line)) return noise;
  if (hasTail) return headMissing;
  return hasHead && /^[A-Z] [-+=.*A-Za-z0-9 ]*$/.test(line) ? tailMissing : foreign;
}

/**
 * Decodes one line, given with or without its line end, one character a byte (latin1). Never throws. The samples of a board
 * without a gyro have `rate` undefined.
 */
export const decodeLine = (line: string): Decoded => decodeBytes(bytesOf(line), line.length);

/** `decodeLine` of the first `lengthWithEnd` bytes of `line`, straight from them where it is a sample; keeps none of them. */
export function decodeBytes(line: Uint8Array, lengthWithEnd: number): Decoded {
  let length = lengthWithEnd;
  if (length > 0 && line[length - 1] === 0x0a) length -= 1;
  if (length > 0 && line[length - 1] === 0x0d) length -= 1;
  if (length > maxLineBytes - 2) return overLong;
  const end = length - 6;
  const kind = line[0];
  const hasHead = length > 1 && isKind(kind) && line[1] === space;
  const stated = end >= 1 && line[end] === space && line[end + 1] === star ? hex4(line, end + 2) : -1;
  if (!hasHead || stated < 0) return withoutFrame(textOf(line.subarray(0, length)), hasHead, stated >= 0);
  if (crc16(line, end) !== stated) return badCrc;
  if (kind === letterS) return decodeSample(line, end, false);
  if (kind === letterG) return decodeSample(line, end, true);
  const body = textOf(line.subarray(2, end));
  return decodeOther(String.fromCharCode(kind), body === '' ? [] : body.split(' '));
}
