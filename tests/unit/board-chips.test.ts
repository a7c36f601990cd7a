import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { accelerometers, magnetometers, makeOf } from '../../firmware-proto/virtual/chips/parts.ts';
import { sealLine } from '../../firmware-proto/wire.ts';
import { drivers } from './firmwareSources.ts';
import { have } from './tools.ts';

// Addresses, registers, values and scales: the datasheets named in each driver (firmware-proto/board/src/chips) and, as a
// check of the facts, the public drivers named there.

interface Case {
  kind: 'acc' | 'mag';
  name: string;
  /** Everything that setting up writes and reads, in order: W chip register value, R chip register count. */
  configure: string;
  /** Registers before a reading: chip, first register, values. */
  set: string;
  read: string;
  reading: string;
}

const fieldAndNothingElse = (field: string, fresh = '01'): string =>
  `accel 0 0 0 field ${field} rate 0 0 0 temperature 0 fresh ${fresh}`;

const mpu = (name: string, more: string): Case => ({
  kind: 'acc',
  name,
  configure: `W 68 6B 01; W 68 6A 00; W 68 37 02; W 68 23 00; W 68 19 04; W 68 1A 04; W 68 1B 00; W 68 1C 00; W 68 38 01;${more}`,
  // big-endian: 258, -515, 16383; temperature -521; rate 1, -2, 772
  set: '68 3A 01 01 02 FD FD 3F FF FD F7 00 01 FF FE 03 04',
  read: 'R 68 3A 15;',
  reading: 'accel 258 -515 16383 field 0 0 0 rate 1 -2 772 temperature -521 fresh 10',
});

const lsm6ds = (name: string, settings: string): Case => ({
  kind: 'acc',
  name,
  configure: settings,
  // little-endian: temperature -521; rate 1, -2, 772; acceleration 258, -515, 16383
  set: '6A 1E 07 00 F7 FD 01 00 FE FF 04 03 02 01 FD FD FF 3F',
  read: 'R 6A 1E 16;',
  reading: 'accel 258 -515 16383 field 0 0 0 rate 1 -2 772 temperature -521 fresh 10',
});

const cases: readonly Case[] = [
  {
    kind: 'acc',
    name: 'LSM303AGR',
    configure: 'W 19 21 00; W 19 24 00; W 19 1F C0; W 19 23 88; W 19 20 57;',
    set: '19 27 0F 50 06 60 F3 B0 3E',
    read: 'R 19 A7 7; R 19 8C 2;',
    reading: 'accel 101 202 1003 field 0 0 0 rate 0 0 0 temperature 0 fresh 10', // y is turned
  },
  {
    kind: 'mag',
    name: 'LSM303AGR',
    configure: 'W 1E 61 03; W 1E 62 10; W 1E 60 8C;',
    set: '1E 67 0F F5 FF DE 00 FB F2',
    read: 'R 1E 67 7;',
    reading: fieldAndNothingElse('-11 -222 -3333'), // y is turned
  },
  {
    kind: 'acc',
    name: 'LSM303DLHC',
    configure: 'W 19 21 00; W 19 24 00; W 19 23 88; W 19 20 57;',
    set: '19 27 0F 50 06 60 F3 B0 3E',
    read: 'R 19 A7 7;',
    reading: 'accel 101 -202 1003 field 0 0 0 rate 0 0 0 temperature 0 fresh 10',
  },
  {
    kind: 'mag',
    name: 'LSM303DLHC',
    configure: 'W 1E 00 9C; W 1E 01 20; W 1E 02 00;',
    set: '1E 03 00 D2 FE 76 FF C8 03', // x 210, z -394, y -56
    read: 'R 1E 09 1; R 1E 03 6;',
    reading: fieldAndNothingElse('210 -56 -442'), // z: 394 of 980 a gauss are 442 of 1100
  },
  {
    kind: 'mag',
    name: 'HMC5883L',
    configure: 'W 1E 00 78; W 1E 01 20; W 1E 02 00;',
    set: '1E 03 00 D2 F0 00 FF C8 01', // z beyond its range
    read: 'R 1E 09 1; R 1E 03 6;',
    reading: fieldAndNothingElse('210 -56 -4096'),
  },
  {
    kind: 'mag',
    name: 'LIS3MDL',
    configure: 'W 1C 20 FE; W 1C 21 00; W 1C 23 0C; W 1C 24 40; W 1C 22 00;',
    set: '1C 27 0F F5 FF DE 00 FB F2 E0 FF',
    read: 'R 1C A7 9;',
    reading: 'accel 0 0 0 field -11 222 -3333 rate 0 0 0 temperature -32 fresh 01',
  },
  {
    kind: 'mag',
    name: 'LSM9DS1',
    configure: 'W 1E 20 FE; W 1E 21 00; W 1E 23 0C; W 1E 24 40; W 1E 22 00;',
    set: '1E 27 0F F5 FF DE 00 FB F2',
    read: 'R 1E A7 7;',
    reading: fieldAndNothingElse('11 -222 -3333'), // half a turn about z
  },
  {
    kind: 'acc',
    name: 'LSM9DS1',
    configure: 'W 6B 24 00; W 6B 22 44; W 6B 23 00; W 6B 1E 38; W 6B 1F 38; W 6B 21 00; W 6B 20 67; W 6B 10 60;',
    set: '6B 15 E0 FF 07 01 00 FE FF 04 03 00 00 00 00 00 00 00 00 00 07 02 01 FD FD FF 3F',
    read: 'R 6B 27 7; R 6B 15 9;',
    reading: 'accel 258 515 16383 field 0 0 0 rate 1 2 772 temperature -32 fresh 10', // y of both is turned
  },
  {
    kind: 'mag',
    name: 'QMC5883L',
    configure: 'W 0D 0A 01; W 0D 0B 01; W 0D 09 0D;',
    set: '0D 00 F5 FF DE 00 FB F2 01',
    read: 'R 0D 06 1; R 0D 00 6;',
    reading: fieldAndNothingElse('-11 222 -3333'),
  },
  {
    kind: 'mag',
    name: 'QMC5883P',
    configure: 'W 2C 0A 00; W 2C 29 06; W 2C 0B 08; W 2C 0A CD;',
    set: '2C 01 F5 FF DE 00 FB F2 00 00 01',
    read: 'R 2C 09 1; R 2C 01 6;',
    reading: fieldAndNothingElse('-11 222 -3333'),
  },
  mpu('MPU-6050', ''),
  mpu('MPU-6500', ' W 68 1D 04;'),
  mpu('MPU-9250', ' W 68 1D 04;'),
  lsm6ds('LSM6DS3', 'W 6A 14 00; W 6A 12 44; W 6A 13 80; W 6A 17 C0; W 6A 11 50; W 6A 10 53;'),
  lsm6ds('LSM6DS3TR-C', 'W 6A 14 00; W 6A 12 44; W 6A 13 80; W 6A 17 C0; W 6A 11 50; W 6A 10 53;'),
  lsm6ds('LSM6DSOX', 'W 6A 14 00; W 6A 12 44; W 6A 13 00; W 6A 17 20; W 6A 11 50; W 6A 10 52;'),
  {
    kind: 'acc',
    name: 'ICM-20948',
    configure:
      'W 69 06 01; W 69 07 00; W 69 03 00; W 69 05 00; W 69 7F 20; W 69 00 04; W 69 01 21; W 69 02 00; W 69 10 00; W 69 11 04; W 69 14 21; W 69 15 00; W 69 7F 00; W 69 0F 02; W 69 11 01;',
    set: '69 1A 01 00 00 00 00 00 00 00 00 00 00 00 00 00 00 00 00 00 00 01 02 FD FD 3F FF 00 01 FF FE 03 04 FD F7',
    read: 'R 69 1A 1; R 69 2D 14;',
    reading: 'accel 258 -515 16383 field 0 0 0 rate 1 -2 772 temperature -521 fresh 10',
  },
  {
    kind: 'acc',
    name: 'ADXL345',
    configure: 'W 53 31 08; W 53 2C 0A; W 53 38 00; W 53 2D 08;',
    set: '53 30 83 08 02 01 03 FE FE 00',
    read: 'R 53 30 8;',
    reading: 'accel 258 -509 254 field 0 0 0 rate 0 0 0 temperature 0 fresh 10',
  },
  {
    kind: 'mag',
    name: 'AK8963',
    configure: 'W 0C 0A 00; R 0C 00 1; W 0C 0A 0F; R 0C 10 3; W 0C 0C 00; W 0C 0A 00; R 0C 00 1; W 0C 0A 16;',
    set: '0C 02 01 F4 01 18 FC 40 1F 10', // 500, -1000, 8000; adjustment 128, 192, 0: times 1, 1.25, 0.5
    read: 'R 0C 02 8;',
    reading: fieldAndNothingElse('-1250 500 -4000'), // x and y change places, z is turned
  },
  {
    kind: 'mag',
    name: 'AK09916',
    configure: 'W 0C 31 00; R 0C 01 1; W 0C 31 08;',
    set: '0C 10 01 F5 FF DE 00 FB F2',
    read: 'R 0C 10 9;',
    reading: fieldAndNothingElse('-11 -222 3333'), // y and z are turned
  },
  {
    kind: 'mag',
    name: 'IST8310',
    configure: 'W 0E 41 24; W 0E 42 C0; W 0E 0A 01;',
    set: '0E 02 01 F5 FF DE 00 FB F2',
    read: 'R 0E 02 7; W 0E 0A 01;',
    reading: fieldAndNothingElse('-11 -222 -3333'), // y is turned
  },
  {
    kind: 'mag',
    name: 'RM3100',
    configure:
      'W 20 01 00; W 20 33 0F; W 20 04 00; W 20 05 C8; W 20 06 00; W 20 07 C8; W 20 08 00; W 20 09 C8; W 20 0B 94; W 20 01 71;',
    set: '20 24 FF FF F5 00 00 DE FE 00 00 00 00 00 00 00 00 00 80', // z beyond 16 bits
    read: 'R 20 34 1; R 20 24 9;',
    reading: fieldAndNothingElse('-11 222 -32768'),
  },
];

const folder = mkdtempSync(join(tmpdir(), 'lodepole-chips-'));
afterAll(() => rmSync(folder, { recursive: true }));

describe.skipIf(!have('g++', 'the drivers of the chips are not run on the host'))('drivers, on the host', () => {
  let program: string;
  const run = (...lines: string[]): string[] => {
    const { stdout, stderr, status } = spawnSync(program, { input: lines.join('\n'), encoding: 'latin1' });
    expect(stderr).toBe('');
    expect(status).toBe(0);
    return stdout.replace(/\n$/, '').split('\n');
  };

  beforeAll(() => {
    const source = new URL('../../firmware-proto/board/src/', import.meta.url).pathname;
    const sources = ['sensors', 'events', 'line', 'chipTable'].map((name) => join(source, `${name}.cpp`));
    const all = join(folder, 'drivers.cpp');
    writeFileSync(all, drivers());
    program = join(folder, 'chips');
    const { status, stderr } = spawnSync(
      'g++',
      [
        '-std=gnu++14',
        '-O0',
        '-pipe',
        '-Wall',
        '-Wextra',
        '-Werror',
        '-fsanitize=undefined',
        '-o',
        program,
        ...sources,
        all,
        'tests/unit/board-chips.cpp',
      ],
      { cwd: new URL('../../', import.meta.url).pathname, encoding: 'utf8' },
    );
    expect(stderr).toBe('');
    expect(status).toBe(0);
  }, 60_000);

  test('are those of the virtual chips, in this order, with their identities and scales', () => {
    const listed = run('list').map((line) => line.split(' '));
    const names = (kind: string): string[] => listed.filter((words) => words[0] === kind).map((words) => words[1]);
    expect(names('acc')).toEqual(Object.keys(accelerometers));
    expect(names('mag')).toEqual(Object.keys(magnetometers));
    for (const [kind, name, , id, perCount, dps] of listed) {
      const parts: Record<string, { identity: string; perCount: number }> =
        kind === 'acc' ? accelerometers : magnetometers;
      expect(Number(id), name).toBe(Number.parseInt(parts[name].identity, 16));
      expect(Math.abs(Number(perCount) / parts[name].perCount - 1), name).toBeLessThan(2e-5);
      if (kind !== 'acc') continue;
      const { gyro } = makeOf(name as keyof typeof accelerometers, 'RM3100');
      expect(dps === '-', name).toBe(gyro === undefined);
      if (gyro) expect(Number(dps)).toBeCloseTo(gyro.perCount, 7);
    }
    expect(
      cases
        .map(({ kind, name }) => `${kind} ${name}`)
        .concat('mag MMC5983MA')
        .sort(),
    ).toEqual(listed.map(([kind, name]) => `${kind} ${name}`).sort());
  });

  test('each with each has a hello that fits in a line, at a longer version, too', () => {
    const listed = run('list').map((line) => line.split(' '));
    const fixed = 'H proto=1 fw=10.10.10 board=3F2A91C4 accid=33 accdir=+X+Y+Z magid=40 magdir=+X+Y+Z hz=100';
    for (const [kind, acc, , , accg, dps, ...warm] of listed.filter(([kind]) => kind === 'acc'))
      for (const [, mag, , , magnt, , ...alsoWarm] of listed.filter((words) => words[0] !== kind)) {
        const [tempc, tempat] = warm[0] === '0' ? alsoWarm : warm;
        const temperature = `tempc=${tempc} tempat=${tempat}`;
        const gyro = dps === '-' ? '' : `gyr=${acc} gyrid=33 gyrdir=+X+Y+Z gyrdps=${dps}`;
        const line = sealLine(
          [fixed, `acc=${acc} accg=${accg} mag=${mag} magnt=${magnt}`, temperature, gyro].join(' ').trim(),
        );
        expect(line.length, `${acc} ${mag}`).toBeLessThanOrEqual(240);
      }
  });

  test.each(cases)('$kind $name: settings and reading, transaction by transaction', (chip) => {
    const { kind, name, configure, set, read, reading } = chip;
    const fuse = name === 'AK8963' ? ['set 0C 10 80 C0 00'] : [];
    const who = name === 'AK09916' ? ['set 0C 00 48 09'] : [];
    expect(
      run('clear', `set ${set}`, ...fuse, ...who, `configure ${kind} ${name}`, `set ${set}`, `read ${kind} ${name}`),
    ).toEqual([`done ${configure} `, `done ${reading} ${read} `]);
    expect(run('clear', `configure ${kind} ${name}`, `read ${kind} ${name}`).map((line) => line.split(' ')[0])).toEqual(
      ['failed', 'failed'],
    );
  });

  test.each([
    ['acc', 'LSM303AGR', 'W 19 23 8A;'],
    ['acc', 'LSM6DS3', 'W 6A 14 05;'],
    ['acc', 'LSM6DSOX', 'W 6A 14 05;'],
    ['acc', 'LSM9DS1', 'W 6B 24 01;'],
    ['acc', 'ADXL345', 'W 53 31 88;'],
    ['acc', 'MPU-6050', 'W 68 1C 00; W 68 38 01; W 68 1C E0; W 68 1B E0;'],
    ['acc', 'MPU-9250', 'W 68 1C E0; W 68 1B E0; W 68 1D 04;'],
    ['acc', 'ICM-20948', 'W 69 7F 20; W 69 15 1C; W 69 02 38; W 69 7F 00;'],
    ['mag', 'LSM303AGR', 'W 1E 61 02; W 1E 62 12;'],
    ['mag', 'LIS3MDL', 'W 1C 20 FF;'],
    ['mag', 'LSM9DS1', 'W 1E 20 FF;'],
    ['mag', 'HMC5883L', 'W 1E 00 79;'],
    ['mag', 'AK8963', 'W 0C 0C 40; W 0C 0A 00; R 0C 00 1; W 0C 0A 18;'],
    ['mag', 'AK09916', 'W 0C 31 00; R 0C 01 1; W 0C 31 10;'],
    ['mag', 'RM3100', 'W 20 01 00; W 20 33 8F; W 20 00 70;'],
    ['mag', 'QMC5883P', 'W 2C 0A 00; W 2C 0B 48; W 2C 0A 03;'],
  ])('%s %s pushes itself for the self-test', (kind, name, write) => {
    const present = ['19', '6A', '6B', '53', '68', '69', '1E', '1C', '0C', '20', '2C'].map(
      (address) => `set ${address} 0`,
    );
    const [told] = run('clear', ...present, 'set 0C 00 48 09', `configure ${kind} ${name} push`);
    expect(told).toContain(write);
    expect(told).toMatch(/^done/);
  });

  test('mag MMC5983MA: set and reset by turns, and the offset of the bridge drops out', () => {
    const offset = [700, -900, 1100];
    const field = [150, -260, 3070];
    const words = (sign: number): string =>
      field
        .map((value, axis) => 32768 + offset[axis] + sign * value)
        .map((value) => `${(value >> 8).toString(16)} ${(value & 0xff).toString(16)}`)
        .join(' ');
    const read = 'read mag MMC5983MA';
    const lines = run(
      ...['clear', 'set 30 08 01', 'configure mag MMC5983MA', read],
      ...[`set 30 00 ${words(1)}`, read, read],
      ...[`set 30 00 ${words(-1)}`, read, read],
      ...['set 30 08 00', read, 'set 30 08 01'],
      ...[`set 30 00 ${words(1)}`, read],
    );
    const none = fieldAndNothingElse('0 0 0', '00');
    const twice = '300 520 6140'; // y is turned
    const take = 'R 30 08 1; R 30 00 6;';
    expect(lines[0]).toBe('done W 30 0A 00; W 30 0B 00; W 30 0C 00; W 30 09 08; ');
    expect(lines[1]).toBe(`done ${none} W 30 09 01; `);
    expect(lines[2]).toContain(`fresh 00 ${take} W 30 09 10; `);
    expect(lines[3]).toContain('fresh 00 W 30 09 01; ');
    expect(lines[4]).toBe(`done ${fieldAndNothingElse(twice)} ${take} W 30 09 08; `);
    expect(lines[5]).toBe(`done ${fieldAndNothingElse(twice, '00')} W 30 09 01; `);
    expect(lines[6]).toBe(`done ${fieldAndNothingElse(twice, '00')} R 30 08 1; `); // not done yet
    expect(lines[7]).toBe(`done ${fieldAndNothingElse(twice)} ${take} W 30 09 10; `);
  });

  const agr = ['set 19 0F 33', 'set 1E 4F 40'];
  const dlhc = ['set 19 0F 33', 'set 1E 0A 48 34 33'];
  test.each([
    ['an LSM303AGR', agr, ['LSM303AGR 19 33', 'LSM303AGR 1e 40']],
    ['an LSM303DLHC', dlhc, ['LSM303DLHC 19 33', 'LSM303DLHC 1e 48']],
    ['an LSM9DS1', ['set 6B 0F 68', 'set 1E 0F 3D'], ['LSM9DS1 6b 68', 'LSM9DS1 1e 3d']],
    ['an LSM9DS1 at its other addresses', ['set 6A 0F 68', 'set 1C 0F 3D'], ['LSM9DS1 6a 68', 'LSM9DS1 1c 3d']],
    ['an LSM6DS3 and a LIS3MDL', ['set 6B 0F 69', 'set 1E 0F 3D'], ['LSM6DS3 6b 69', 'LIS3MDL 1e 3d']],
    ['an MPU-6050 and an HMC5883L', ['set 69 75 68', 'set 1E 0A 48 34 33'], ['MPU-6050 69 68', 'HMC5883L 1e 48']],
    ['an MPU-9250 and its AK8963', ['set 68 75 71', 'set 0C 00 48 9A'], ['MPU-9250 68 71', 'AK8963 c 48']],
    ['an ICM-20948 and its AK09916', ['set 69 00 EA', 'set 0C 00 48 09'], ['ICM-20948 69 ea', 'AK09916 c 48']],
    ['an ADXL345 and a QMC5883L', ['set 1D 00 E5', 'set 0D 0D FF'], ['ADXL345 1d e5', 'QMC5883L d ff']],
    ['an LSM303AGR beside which an RM3100 was put', [...agr, 'set 23 36 22'], ['LSM303AGR 19 33', 'RM3100 23 22']],
    ['an LSM303DLHC and a LIS3MDL', [...dlhc, 'set 1C 0F 3D'], ['LSM303DLHC 19 33', 'LIS3MDL 1c 3d']],
    ['an LSM303DLHC and a noisier QMC5883L', [...dlhc, 'set 0D 0D FF'], ['LSM303DLHC 19 33', 'QMC5883L d ff']],
    [
      'an LSM9DS1 at its other address and an HMC5883L',
      ['set 6B 0F 68', 'set 1C 0F 3D', 'set 1E 0A 48 34 33'],
      ['LSM9DS1 6b 68', 'HMC5883L 1e 48'],
    ],
    [
      'an LSM9DS1 and a LIS3MDL, which answers like the magnetometer of the first',
      ['set 6B 0F 68', 'set 1E 0F 3D', 'set 1C 0F 3D'],
      ['LSM9DS1 6b 68', 'LSM9DS1 1e 3d'],
    ],
    ['an ADXL345 and an LSM303DLHC', [...dlhc, 'set 53 00 E5'], ['LSM303DLHC 19 33', 'LSM303DLHC 1e 48']],
    [
      'a clone of an MPU-6050, named by what it answers',
      ['set 68 75 98', 'set 2C 00 80'],
      ['none 68 98', 'QMC5883P 2c 80'],
    ],
    ['a chip that answers half like an HMC5883L', ['set 1E 0A 48 00'], ['none 0 0', 'none 1e 48']],
    ['nothing', [], ['none 0 0', 'none 0 0']],
  ])('found by identity: %s', (_, registers, expected) => {
    expect(run('clear', ...registers, 'start')).toEqual(expected);
  });

  test('an ICM-20948 that was left in another bank is brought back', () => {
    expect(run('clear', 'set 69 00 EA', 'set 69 7F 20', 'set 0C 00 48 09', 'start', 'configure acc ICM-20948')[0]).toBe(
      'ICM-20948 69 ea',
    );
  });

  test('no reading before both chips have measured, and none while the bus is stuck', () => {
    const fresh = ['set 19 27 0F', 'set 1E 67 0F'];
    const lines = run(
      'clear',
      ...agr,
      'start',
      'measure',
      fresh[0],
      'measure',
      fresh[1],
      'measure',
      'stuck',
      'measure',
    );
    expect(lines.slice(2)).toEqual(['none', 'none', 'reading', 'none']);
  });
});
