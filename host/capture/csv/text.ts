import { createReadStream } from 'node:fs';
import { Readable } from 'node:stream';
import { parse } from 'csv-parse/sync';

type Encoding = 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252';

/** The first part of a text file. */
export interface Head {
  text: string;
  encoding: Encoding;
  /** Bytes of the byte order mark. */
  markBytes: number;
  /** Whether this is all of the file. */
  isWhole: boolean;
}

/** Decodes the first bytes of a file: UTF-8, UTF-16 with a mark, else one byte a character (older Windows programs). */
export function decodeHead(bytes: Buffer, isWhole: boolean): Head {
  const mark = bytes.toString('hex', 0, 3);
  const wide = mark.startsWith('fffe') ? 'utf-16le' : mark.startsWith('feff') ? 'utf-16be' : undefined;
  if (wide) return { text: new TextDecoder(wide).decode(bytes), encoding: wide, markBytes: 2, isWhole };
  const markBytes = mark === 'efbbbf' ? 3 : 0;
  try {
    // A character may be cut in two where the head ends.
    const text = new TextDecoder('utf-8', { fatal: true }).decode(bytes, { stream: !isWhole });
    return { text, encoding: 'utf-8', markBytes, isWhole };
  } catch {
    return { text: new TextDecoder('windows-1252').decode(bytes), encoding: 'windows-1252', markBytes, isWhole };
  }
}

/** Where the character `at` of the head's text begins in the file, in bytes. */
const byteOf = ({ text, encoding, markBytes }: Head, at: number): number =>
  markBytes + (encoding === 'utf-8' ? Buffer.byteLength(text.slice(0, at)) : encoding === 'windows-1252' ? at : 2 * at);

/** What is done to a text before its rows are parted. */
export interface Rewriting {
  /** Runs of blanks become one tab. */
  blanks: boolean;
  /** Names before each number are taken out. */
  labels: boolean;
  /** So is the clock of a serial monitor. */
  clocks: boolean;
}

/** The file's text from the character `from` of its head on, in bytes that hold ASCII as ASCII. */
export function textFrom(path: string, head: Head, from: number, { blanks, labels, clocks }: Rewriting): Readable {
  const file = createReadStream(path, { start: byteOf(head, from) });
  const isWide = head.encoding.startsWith('utf-16');
  const isRewritten = blanks || labels || clocks;
  if (!isWide && !isRewritten) return file;
  const decoded = decodeStream(file, isWide ? head.encoding : 'windows-1252');
  const rewritten = (text: string): string => {
    const bare = labels || clocks ? withoutLabels(text, labels) : text;
    return blanks ? withTabs(bare) : bare;
  };
  return Readable.from(isRewritten ? byLines(decoded, rewritten) : decoded);
}

async function* decodeStream(file: AsyncIterable<Buffer>, encoding: Encoding): AsyncGenerator<string> {
  const decoder = new TextDecoder(encoding, { ignoreBOM: true });
  for await (const chunk of file) yield decoder.decode(chunk, { stream: true });
  yield decoder.decode();
}

/** Longer lines are refused, and handed on as they are until then, so that memory stays bounded. */
export const longestLine = 65536;

const withTabs = (text: string): string => text.replaceAll(/^[ \t]+|[ \t]+$/gm, '').replaceAll(/[ \t]+/g, '\t');

async function* byLines(chunks: AsyncIterable<string>, rewritten: (text: string) => string): AsyncGenerator<string> {
  let rest = '';
  for await (const chunk of chunks) {
    const text = rest + chunk;
    const end = text.lastIndexOf('\n') + 1;
    const whole = text.length - end > longestLine ? text.length : end;
    if (whole > 0) yield rewritten(text.slice(0, whole));
    rest = text.slice(whole);
  }
  yield rewritten(rest);
}

/** A line of the head of a file that is not blank. */
export interface Line {
  text: string;
  /** Its place in the head's text, and that of the next line. */
  at: number;
  next: number;
  /** Counted from 1. */
  number: number;
  isComment: boolean;
}

export const delimiters = [',', ';', '\t', '|', ' '];
export const comments = ['#', '%', '//'];
const missing = /^(nan|na|n\/a|null|none|-)?$/i;

/** Whether a cell stands for a reading that was not made. */
export const isMissing = (cell: string): boolean => missing.test(cell);

/** The number, from 1, of the first line of the head that is longer than any is read; undefined where there is none. */
export function longLineIn({ text }: Head): number | undefined {
  const at = text.split(/\r\n|\n|\r/).findIndex((line) => line.length > longestLine);
  return at < 0 ? undefined : at + 1;
}

/** The whole lines of the head of a file. */
export function linesOf({ text, isWhole }: Head): Line[] {
  const lines: Line[] = [];
  const shape = /([^\r\n]*)(\r\n|\n|\r|$)/g;
  for (let number = 1; shape.lastIndex < text.length; number += 1) {
    const at = shape.lastIndex;
    const [, line, end] = shape.exec(text)!;
    // The last line of a longer file is cut short.
    if (end === '' && !isWhole) break;
    if (line.trim() === '' || /^"?sep=.{0,2}"?$/.test(line)) continue;
    lines.push({
      text: line,
      at,
      next: shape.lastIndex,
      number,
      isComment: comments.some((mark) => line.startsWith(mark)),
    });
  }
  return lines;
}

/** The cells of one line, trimmed and out of their quotes. */
export function cellsOf(text: string, delimiter: string): string[] {
  const line = delimiter === ' ' ? text.trim().replaceAll(/[ \t]+/g, '\t') : text;
  const parted = delimiter === ' ' ? '\t' : delimiter;
  if (!line.includes('"')) return line.split(parted).map((cell) => cell.trim());
  try {
    const [cells = []]: string[][] = parse(line, {
      delimiter: parted,
      relax_quotes: true,
      relax_column_count: true,
      trim: true,
    });
    return cells;
  } catch {
    return line.split(parted).map((cell) => cell.trim());
  }
}

/** The clock that a serial monitor puts before each line. */
const clock = /^\d{1,2}:\d{2}:\d{2}[.,]\d+ -> /gm;
/** ax: 0.1 or Acc X = 0.1 */
const label = /(\p{L}[^:=,;|\t\r\n]{0,119}?)\s{0,9}[:=]\s*(?=[+-]?[.\d])/gu;

/** The names that stand before each number of two lines alike, as sketches print them for a person; undefined where there are none. */
export function labelsIn([first = '', second = first]: readonly string[]): string[] | undefined {
  const [names, again] = [first, second].map((line) =>
    [...line.replaceAll(clock, '').matchAll(label)].map(([, name]) => name),
  );
  return names.length > 2 && names.join('\n') === again.join('\n') ? names : undefined;
}

/** Whether a line begins with the clock of a serial monitor. */
export const hasClock = (line: string): boolean => line.search(clock) === 0;

/** Lines without such names and clocks. */
export const withoutLabels = (text: string, hasLabels: boolean): string => {
  const bare = text.replaceAll(clock, '');
  return hasLabels ? bare.replaceAll(label, '') : bare;
};
