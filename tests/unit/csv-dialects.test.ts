// However a file is written - names, units, delimiter, decimal comma, line ends, encoding, quotes, comments, more columns in any
// order - the same readings come out.
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { CsvFolder, cell, readings } from './csvTruth.ts';

const folder = new CsvFolder();
beforeAll(() => folder.open());
afterAll(() => folder.close());

const truth = readings(24, 3);

/** Names of an axis with a unit, the way many loggers put them together. */
const styles: ((sensor: 'a' | 'm', axis: string, unit: string) => string)[] = [
  (sensor, axis, unit) => `${sensor === 'a' ? 'Acc' : 'Mag'} ${axis.toUpperCase()} (${unit})`,
  (sensor, axis, unit) => `${sensor === 'a' ? 'Acceleration' : 'Magnetic field'} ${axis} [${unit}]`,
  (sensor, axis, unit) => `${sensor === 'a' ? 'accel' : 'magn'}${axis.toUpperCase()}(${unit})`,
  (sensor, axis, unit) => `${sensor === 'a' ? 'accelerometer' : 'compass'}_${axis}_(${unit})`,
  (sensor, axis, unit) => `imu.${sensor === 'a' ? 'linear_acceleration' : 'magnetic_field'}.${axis}[${unit}]`,
  (sensor, axis, unit) => `${sensor === 'a' ? 'a' : 'B'}_${axis}[${unit}]`,
];
const accelUnits: [string, number][] = [
  ['g', 1],
  ['mg', 1000],
  ['m/s^2', 9.80665],
  ['m/s²', 9.80665],
  ['m·s-2', 9.80665],
];
const fieldUnits: [string, number][] = [
  ['uT', 1],
  ['µT', 1],
  ['nT', 1000],
  ['G', 0.01],
  ['gauss', 0.01],
  ['mG', 10],
  ['T', 1e-6],
];
const times: [string, (seconds: number) => string][] = [
  ['Time (s)', (s) => String(s)],
  ['t_ms', (s) => String(s * 1000)],
  ['timestamp [us]', (s) => String(Math.round(s * 1e6 + 4e6))],
  ['timestamp', (s) => String(Math.round(s * 1e3 + 1.7e12))],
  ['DateTime', (s) => new Date(Date.UTC(2026, 10, 25, 23, 59, 59, 900) + Math.round(s * 1000)).toISOString()],
  ['Time', (s) => new Date(Date.UTC(2026, 10, 25, 23, 59, 59, 900) + Math.round(s * 1000)).toISOString().slice(11, 23)],
];
const delimiters: [string, string][] = [
  [',', '.'],
  [';', '.'],
  [';', ','],
  ['\t', '.'],
  ['\t', ','],
  ['|', '.'],
  ['  ', '.'],
];
const encodings: Readonly<Record<string, (text: string) => Buffer>> = {
  'utf-8': (text) => Buffer.from(text),
  'utf-8 with a mark': (text) => Buffer.from(`\uFEFF${text}`),
  'utf-16le': (text) => Buffer.from(`\uFEFF${text}`, 'utf16le'),
  'utf-16be': (text) => Buffer.from(`\uFEFF${text}`, 'utf16le').swap16(),
  latin1: (text) => Buffer.from(text, 'latin1'),
};

const written = fc.record({
  style: fc.constantFrom(...styles),
  accel: fc.constantFrom(...accelUnits),
  field: fc.constantFrom(...fieldUnits),
  time: fc.option(fc.constantFrom(...times), { nil: undefined }),
  delimiter: fc.constantFrom(...delimiters),
  end: fc.constantFrom('\n', '\r\n', '\r'),
  encoding: fc.constantFrom(...Object.keys(encodings)),
  isQuoted: fc.boolean(),
  comments: fc.array(fc.constantFrom('# made by hand', '% made by hand', '// made by hand', ''), { maxLength: 3 }),
  order: fc.shuffledSubarray([0, 1, 2, 3, 4, 5, 6, 7, 8], { minLength: 9 }),
  isTrailing: fc.boolean(),
  isEnded: fc.boolean(),
});

describe('the same readings in any dialect', () => {
  test('in any mixture of names, units and ways to write a table', async () => {
    await fc.assert(
      fc.asyncProperty(written, async (way) => {
        const [delimiter, point] = way.delimiter;
        const isBlank = delimiter.trim() === '' && delimiter !== '\t';
        const axes = ['x', 'y', 'z'];
        const number = (text: string): string => text.replace('.', point);
        const columns: [string, (row: number) => string][] = [
          ...axes.map((axis): [string, (row: number) => string] => [
            way.style('a', axis, way.accel[0]),
            (row) => number(cell(`a${axis}*${way.accel[1]}`, truth[row], row)),
          ]),
          ...axes.map((axis): [string, (row: number) => string] => [
            way.style('m', axis, way.field[0]),
            (row) => number(cell(`m${axis}*${way.field[1]}`, truth[row], row)),
          ]),
          ...(way.time === undefined
            ? []
            : [
                [
                  way.time[0],
                  (row: number) =>
                    /[:Z]/.test(way.time![1](0)) ? way.time![1](truth[row].t) : number(way.time![1](truth[row].t)),
                ] as [string, (row: number) => string],
              ]),
          ['label', () => 'still'],
          ['battery', () => number('3.71')],
        ];
        // Names with blanks cannot stand in a table that is parted by blanks.
        const fitting = isBlank
          ? columns.map(([name, of]): (typeof columns)[number] => [name.replaceAll(' ', '_'), of])
          : columns;
        const ordered = way.order.filter((i) => i < fitting.length).map((i) => fitting[i]);
        const quote = (text: string): string => (way.isQuoted && !isBlank ? `"${text}"` : text);
        const line = (cells: string[]): string =>
          cells.map(quote).join(delimiter) + (way.isTrailing && !isBlank ? delimiter : '');
        const text = [
          ...way.comments,
          line(ordered.map(([name]) => name)),
          ...truth.map((_, row) => line(ordered.map(([, of]) => of(row)))),
        ].join(way.end);
        const { samples, recording } = await folder.read(encodings[way.encoding](text + (way.isEnded ? way.end : '')));
        expect(samples).toHaveLength(truth.length);
        expect(recording.warnings).toEqual([]);
        samples.forEach(({ accelG, fieldNt, timeS }, i) => {
          accelG!.forEach((value, axis) => expect(value).toBeCloseTo(truth[i].a[axis], 8));
          fieldNt!.forEach((value, axis) => expect(value / 1000).toBeCloseTo(truth[i].m[axis], 7));
          if (way.time) expect(timeS! - samples[0].timeS!).toBeCloseTo(truth[i].t, 6);
          else expect(timeS).toBeUndefined();
        });
      }),
      { numRuns: 100, seed: 25 },
    );
  });
});

const header = 'ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut';
const row = '0.1,-0.2,0.98,20.5,-3,41';

describe('what a file holds beside readings', () => {
  test('rows in which a sensor made no reading are skipped and counted', async () => {
    const text = `${header}\n${row}\n0.1,-0.2,0.98,,,\n0.1,-0.2,0.98,NaN,NaN,NaN\n,,,20.5,-3,41\n${row}\n`;
    const { samples, recording } = await folder.read(text);
    expect(samples).toHaveLength(2);
    expect(recording.counters).toMatchObject({ samples: 2, rowsWithoutReading: 3 });
  });

  test('a slower magnetometer that stands in several rows is taken once', async () => {
    const all = readings(60);
    const rows = all.map(({ a }, i) => [...a, ...all[Math.floor(i / 5)].m].join(','));
    const { samples, recording } = await folder.read(`${header}\n${rows.join('\n')}\n`);
    expect(samples.map(({ accelG }) => accelG)).toEqual(all.filter((_, i) => i % 5 === 0).map(({ a }) => a));
    expect(recording.notes.join()).toMatch(/repeat a reading of the slower magnetometer/);
    expect(recording.counters).toMatchObject({ samples: 12, rowsOfRepeatedField: 48 });
  });

  test('sensors that stand in rows of their own are paired by time', async () => {
    const rows = Array.from({ length: 40 }, (_, i) => `${i / 100},0.1,${i / 100},0.98,,,`);
    rows.splice(30, 0, '0.295,,,,20.5,-3,41');
    rows.splice(11, 0, '0.1025,,,,21.5,-3,41');
    const { samples, recording } = await folder.read(`t_s,${header}\n0.001,,,,1,2,3\n${rows.join('\n')}\n9,,,,1,2,3\n`);
    expect(samples).toHaveLength(2);
    expect(samples.map(({ fieldNt }) => fieldNt![0])).toEqual([21_500, 20_500]);
    samples.forEach(({ timeS, accelG }) => expect(accelG![1]).toBeCloseTo(timeS!, 9));
    expect(recording.counters).toMatchObject({ rowsWithoutReading: 2 });
    expect(recording.notes.join()).toMatch(/on the line between its neighbours in time/);
  });

  test('a coarse magnetometer at rest, which repeats itself at random, is left as it is', async () => {
    const all = readings(120);
    const rows = all.map(({ a, m }) => [...a, m[0] > 3 ? 20.5 : 20.6, -3, 41].join(','));
    const { samples, recording } = await folder.read(`${header}\n${rows.join('\n')}\n`);
    expect(samples).toHaveLength(120);
    expect(recording.notes).toEqual([]);
  });

  test('a torn last line is skipped and counted, a short one before is refused', async () => {
    const { samples, recording } = await folder.read(`${header}\n${row}\n${row}\n0.1,-0.`);
    expect(samples).toHaveLength(2);
    expect(recording.counters).toMatchObject({ linesTorn: 1 });
    await expect(folder.read(`${header}\n${row}\n0.1,-0.\n${row}`)).rejects.toThrow(
      /line 3: the number of columns differs/,
    );
  });

  test('a header that a board writes again is skipped', async () => {
    const { samples, recording } = await folder.read(`${header}\n${row}\n${header}\n${row}\n`);
    expect(samples).toHaveLength(2);
    expect(recording.counters).toMatchObject({ headersPassedOver: 1 });
  });

  test('of two sensors of a kind the first is taken and said, or the one that is named', async () => {
    const two = `imu0_ax,imu0_ay,imu0_az,imu1_ax,imu1_ay,imu1_az,imu1_mx,imu1_my,imu1_mz\n0.1,0.1,0.98,1.02,0.1,0,20.5,-3.5,41\n`;
    // The magnetometer's own board goes before the first.
    expect((await folder.read(two)).samples[0].accelG).toEqual([1.02, 0.1, 0]);
    const named = await folder.read(two, { sensor: 'IMU0' });
    expect(named.samples[0].accelG).toEqual([0.1, 0.1, 0.98]);
    expect(named.recording.warnings).toEqual([]);
    const accs = await folder.read('acc1_x,acc1_y,acc1_z,acc2_x,acc2_y,acc2_z\n0.1,0.1,0.98,1.02,0.1,0\n');
    expect(accs.samples[0].accelG).toEqual([0.1, 0.1, 0.98]);
    expect(accs.recording.warnings.join()).toMatch(/took the accelerometer acc1_x, not acc2_x; --sensor/);
  });

  test('rates of rows: as told, as in the head, or none', async () => {
    const text = `ax_g,ay_g,az_g\n0,0,1\n0,0,1\n0,0,1\n`;
    const timesOf = async (content: string, rateHz?: number) =>
      (await folder.read(content, { rateHz })).samples.map(({ timeS }) => timeS);
    expect(await timesOf(text)).toEqual([undefined, undefined, undefined]);
    expect(await timesOf(text, 50)).toEqual([0, 0.02, 0.04]);
    expect(await timesOf(`# Sample rate: 25 Hz\n${text}`)).toEqual([0, 0.04, 0.08]);
    expect(await timesOf(`# Sample rate: 25 Hz\n${text}`, 50)).toEqual([0, 0.02, 0.04]);
  });

  test('a time whose unit could be several is not used, and said', async () => {
    const { recording } = await folder.read(`time,ax_g,ay_g,az_g\n0,0,0,1\n1,0,0,1\n2,0,0,1\n3,0,0,1\n`);
    expect(recording.has.time).toBe(false);
    expect(recording.warnings.join()).toMatch(/"time" could be in several units.*t_ms.*--rate/);
  });

  test('names given in order: skipped, turned, in units; more columns than names', async () => {
    const given = await folder
      .read('7 0.1 0.2 -981 4 9\n8 0.1 0.2 -981 4 9\n', { columns: '-,ax_mg,-ay_g,-az_mg' })
      .catch((e: unknown) => e);
    expect(given).toMatchObject({ message: expect.stringMatching(/mixed units|missing/) });
    const { samples } = await folder.read('7 100 200 -981 4 9\n8 100 200 -981 4 9\n', {
      columns: '-,ax_mg,-ay_mg,-az_mg',
    });
    expect(samples[0].accelG!.map((value) => Number(value.toFixed(6)))).toEqual([0.1, -0.2, 0.981]);
  });
});
