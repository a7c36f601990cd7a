import { describe, expect, test } from 'vitest';
import { bytesOf, crc16, crcHex, decodeLine, encodeLine, sealLine, type BoardLine } from '../../firmware-proto/wire.ts';
import { vectorsOf } from './wireVectors.ts';

describe('vectors of the wire', () => {
  test('every kind of vector is there', () => {
    expect(vectorsOf('crc').length).toBeGreaterThan(5);
    expect(vectorsOf('line').length).toBeGreaterThan(40);
    expect(vectorsOf('bad').length).toBeGreaterThan(50);
    expect(vectorsOf('pass').length).toBeGreaterThan(3);
  });

  test.each(vectorsOf('crc'))('CRC of %j is %s', (text, crc) => {
    expect(crcHex(crc16(bytesOf(text)))).toBe(crc);
  });

  // Published: catalogue of parametrised CRC algorithms, CRC-16/IBM-3740 (alias CCITT-FALSE), check value 0x29B1.
  test('the check value of the catalogue', () => {
    expect(crc16(bytesOf('123456789'))).toBe(0x29b1);
  });

  test.each(vectorsOf('line'))('%j decodes and encodes to the same bytes', (body, line) => {
    expect(sealLine(body)).toBe(`${line}\r\n`);
    const decoded = decodeLine(line);
    expect(decoded.kind).not.toMatch(/bad|unknown|otherProtocol/);
    expect(encodeLine(decoded as BoardLine)).toBe(`${line}\r\n`);
    expect(decodeLine(`${line}\r\n`)).toEqual(decoded);
    expect(decodeLine(`${line}\n`)).toEqual(decoded);
  });

  test.each(vectorsOf('bad'))('is %s: %j', (reason, line) => {
    expect(decodeLine(line)).toMatchObject({ kind: 'bad', bad: reason });
  });

  test.each(vectorsOf('pass'))('passes over %j', (line) => {
    expect(decodeLine(line).kind).toMatch(/^(unknown|hello|otherProtocol)$/);
  });
});
