import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { crc16, crcHex, decodeLine, encodeLine, sealLine, type BoardLine } from '../../firmware-proto/wire.ts';

const unescape = (text: string): string =>
  text.replace(/\\x([0-9A-F]{2})/g, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16)));

/** firmware-proto/vectors.txt: CRCs from Python's binascii.crc_hqx, see its head. */
const vectors = readFileSync(new URL('../../firmware-proto/vectors.txt', import.meta.url), 'latin1')
  .split('\n')
  .filter((line) => line !== '' && !line.startsWith('#'))
  .map((line) => line.split('\t').map(unescape));
const of = (kind: string): string[][] => vectors.filter(([first]) => first === kind).map(([, ...rest]) => rest);

describe('vectors of the wire', () => {
  test('every kind of vector is there', () => {
    expect(of('crc').length).toBeGreaterThan(5);
    expect(of('line').length).toBeGreaterThan(40);
    expect(of('bad').length).toBeGreaterThan(50);
    expect(of('pass').length).toBeGreaterThan(3);
  });

  test.each(of('crc'))('CRC of %j is %s', (text, crc) => {
    expect(crcHex(crc16(text))).toBe(crc);
  });

  // Published: catalogue of parametrised CRC algorithms, CRC-16/IBM-3740 (alias CCITT-FALSE), check value 0x29B1.
  test('the check value of the catalogue', () => {
    expect(crc16('123456789')).toBe(0x29b1);
  });

  test.each(of('line'))('%j decodes and encodes to the same bytes', (body, line) => {
    expect(sealLine(body)).toBe(`${line}\r\n`);
    const decoded = decodeLine(line);
    expect(decoded.kind).not.toMatch(/bad|unknown|otherProtocol/);
    expect(encodeLine(decoded as BoardLine)).toBe(`${line}\r\n`);
    expect(decodeLine(`${line}\r\n`)).toEqual(decoded);
    expect(decodeLine(`${line}\n`)).toEqual(decoded);
  });

  test.each(of('bad'))('is %s: %j', (reason, line) => {
    expect(decodeLine(line)).toMatchObject({ kind: 'bad', bad: reason });
  });

  test.each(of('pass'))('passes over %j', (line) => {
    expect(decodeLine(line).kind).toMatch(/^(unknown|hello|otherProtocol)$/);
  });
});
