import { readFileSync } from 'node:fs';

const unescape = (text: string): string =>
  text.replace(/\\x([0-9A-F]{2})/g, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16)));

/** firmware-proto/vectors.txt: CRCs from Python's binascii.crc_hqx, see its head. */
const vectors = readFileSync(new URL('../../firmware-proto/vectors.txt', import.meta.url), 'latin1')
  .split('\n')
  .filter((line) => line !== '' && !line.startsWith('#'))
  .map((line) => line.split('\t').map(unescape));

/** The fields of every vector of one kind, one character a byte. */
export const vectorsOf = (kind: string): string[][] =>
  vectors.filter(([first]) => first === kind).map(([, ...rest]) => rest);
