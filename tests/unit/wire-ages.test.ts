import { describe, expect, test } from 'vitest';
import { decodeLine, sealLine } from '../../firmware-proto/wire.ts';

// WIRE.md, "A line from the board" and "Hello keys": what an old host and a new board, or a new host and an old board, owe each other.

const keys = {
  proto: '1',
  fw: '0.1.0',
  board: '3F2A91C4',
  acc: 'LSM303AGR',
  accid: '33',
  accdir: '+X+Y+Z',
  accg: '0.00098',
  mag: 'LSM303AGR',
  magid: '40',
  magdir: '+X-Y-Z',
  magnt: '150',
  tempc: '0.00390625',
  tempat: '25',
  hz: '100',
};
const helloOf = (pairs: Record<string, string>): string =>
  sealLine(
    `H ${Object.entries(pairs)
      .map((pair) => pair.join('='))
      .join(' ')}`,
  ).trimEnd();

describe('a new board and an old host', () => {
  test('keys of a hello and of particulars that the host does not know are skipped', () => {
    const plain = decodeLine(helloOf(keys));
    expect(plain.kind).toBe('hello');
    expect(decodeLine(helloOf({ baro: 'BMP581', ...keys, zoom: '-1.5' }))).toEqual(plain);
    expect(decodeLine(sealLine('P cpu=esp32s9 tone=low kept=yes').trimEnd())).toEqual({
      kind: 'particulars',
      processor: 'esp32s9',
      isKept: true,
    });
    expect(decodeLine(sealLine('P light=dim').trimEnd())).toEqual({ kind: 'particulars' });
  });

  test('a kind of line that the host does not know is skipped, and no fault', () => {
    expect(decodeLine(sealLine('Z 17 abc').trimEnd()).kind).not.toBe('bad');
    expect(decodeLine(sealLine('E overheated 3').trimEnd())).toEqual({ kind: 'event', code: 'overheated', count: 3 });
  });

  test('another protocol is said, and nothing of it believed', () => {
    expect(decodeLine(helloOf({ ...keys, proto: '2', acc: '?' }))).toEqual({ kind: 'otherProtocol', protocol: 2 });
  });
});

describe('an old board and a new host', () => {
  test('a board without particulars, gyro and thermometer is a sound board', () => {
    const hello = decodeLine(helloOf({ ...keys, tempc: '0', tempat: '20' }));
    expect(hello).toMatchObject({ kind: 'hello', firmware: '0.1.0', temperature: { cPerCount: 0 } });
    expect(hello).not.toHaveProperty('gyro');
  });

  test.each(Object.keys(keys))('a hello without %s is refused, and says so', (key) => {
    const rest = Object.fromEntries(Object.entries(keys).filter(([name]) => name !== key));
    expect(decodeLine(helloOf(rest))).toMatchObject({
      kind: 'bad',
      what: expect.stringContaining(`${key} is missing`) as string,
    });
  });

  test.each(['gyrid', 'gyrdir', 'gyrdps'])('a gyro without %s is refused, and says so', (key) => {
    const gyro: Record<string, string> = { gyr: 'MPU-6050', gyrid: '68', gyrdir: '+X+Y+Z', gyrdps: '0.0076336' };
    expect(decodeLine(helloOf({ ...keys, ...gyro }))).toMatchObject({ kind: 'hello', gyro: { name: 'MPU-6050' } });
    delete gyro[key];
    expect(decodeLine(helloOf({ ...keys, ...gyro }))).toMatchObject({
      kind: 'bad',
      what: expect.stringContaining(`${key} is missing`) as string,
    });
  });
});
