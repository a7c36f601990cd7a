import { createReadStream } from 'node:fs';
import { Readable } from 'node:stream';
import { withoutLabels } from './labels.ts';

export type Encoding = 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252';

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

/** A line that is longer is handed on as it is, so that memory stays bounded. */
const longestLine = 65536;

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
