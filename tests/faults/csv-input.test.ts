import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { RecordedSample, Recording } from '../../host/capture/recorded.ts';
import { openQuietly, openRecording } from '../../host/capture/recording.ts';
import { Failure } from '../../host/failure.ts';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lodepole-csv-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

let files = 0;
async function opened(text: string, open = openRecording): Promise<Recording> {
  files += 1;
  const path = join(folder, `${files}.csv`);
  await writeFile(path, text, 'latin1');
  return open(path);
}
async function all(recording: Recording): Promise<RecordedSample[]> {
  const samples: RecordedSample[] = [];
  for await (const sample of recording.samples) samples.push(sample);
  return samples;
}
async function faultOf(text: string): Promise<Failure> {
  const fault = await opened(text)
    .then(all)
    .then(
      () => undefined,
      (error: unknown) => error,
    );
  expect(fault, text.slice(0, 200)).toBeInstanceOf(Failure);
  return fault as Failure;
}

const header = 'ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut';
const row = '0.1,-0.2,0.98,20.5,-3,41';

describe("any logger's CSV", () => {
  test('columns in any order, others skipped, comments first, units taken to ours', async () => {
    const recording = await opened(
      `# a logger\n# licence: none\ntemp_c,MZ_uT,note,t_s,ax_g,mx_ut,my_ut,ay_g,az_g,gx_dps,gy_dps,gz_dps\r\n21.5,41,"a, b",0.5,0.1,20.5,-3,-.2,9.8e-1,1,2,3\r\n`,
    );
    expect(recording).toMatchObject({ kind: 'csv', scaleKnown: true });
    expect(recording.has).toEqual({
      accelerometer: true,
      magnetometer: true,
      gyro: true,
      temperature: true,
      time: true,
    });
    expect(await all(recording)).toEqual([
      { timeS: 0.5, accelG: [0.1, -0.2, 0.98], fieldNt: [20500, -3000, 41000], rateDps: [1, 2, 3], temperatureC: 21.5 },
    ]);
    expect(recording.counters).toEqual({ samples: 1, columnsPassedOver: 1 });
  });

  test('without time, a magnetometer alone, an accelerometer alone, counts of unknown scale', async () => {
    const magnetometer = await opened('mx_ut,my_ut,mz_ut\n20,-3,41\n');
    expect(magnetometer.has).toMatchObject({ accelerometer: false, magnetometer: true, time: false });
    expect(await all(magnetometer)).toEqual([{ fieldNt: [20000, -3000, 41000] }]);
    expect(await all(await opened('az_g,ay_g,ax_g\n1,0,0\n'))).toEqual([{ accelG: [0, 0, 1] }]);
    const raw = await opened('mx_raw,my_raw,mz_raw\n6202,682,4812\n');
    expect(raw.scaleKnown).toBe(false);
    expect(await all(raw)).toEqual([{ fieldNt: [6202, 682, 4812] }]);
  });

  test('blank lines at the end, a byte order mark and quoted numbers do no harm', async () => {
    expect(await all(await opened(`\xef\xbb\xbf"ax_g","ay_g","az_g"\n"0.1","0","1"\n\n\n`))).toHaveLength(1);
  });

  test('can be walked again', async () => {
    const recording = await opened(`${header}\n${row}\n${row}\n`);
    expect(await all(recording)).toEqual(await all(recording));
  });

  test.each([
    ['semicolons', ';', '.'],
    ['semicolons and decimal commas', ';', ','],
    ['tabs', '\t', '.'],
    ['tabs and decimal commas', '\t', ','],
  ])('%s are read', async (_, delimiter, point) => {
    const text = `t_s,${header}\n1.5,${row}\n`.replaceAll('.', point === ',' ? '@' : '.').replaceAll(',', delimiter);
    expect(await all(await opened(text.replaceAll('@', ',')))).toEqual([
      { timeS: 1.5, accelG: [0.1, -0.2, 0.98], fieldNt: [20500, -3000, 41000] },
    ]);
  });

  test('further units are taken to ours', async () => {
    const units = 'ax_ms2,ay_ms2,az_ms2,mx_nt,my_nt,mz_nt,gx_rads,gy_rads,gz_rads';
    const [first] = await all(await opened(`${units}\n9.80665,0,-9.80665,20500,-3000,41000,3.14159265358979,0,0\n`));
    expect(first.accelG).toEqual([1, 0, -1]);
    expect(first.fieldNt).toEqual([20500, -3000, 41000]);
    expect(first.rateDps![0]).toBeCloseTo(180, 9);
    const [second] = await all(await opened('ax_mg,ay_mg,az_mg,mx_gauss,my_gauss,mz_gauss\n1000,0,-500,0.25,0,0.5\n'));
    expect(second).toEqual({ accelG: [1, 0, -0.5], fieldNt: [25000, 0, 50000] });
  });

  test('columns named like a sensor in a unit that is not read are named, with the units that are', async () => {
    const recording = await opened(`ax_furlong,ay_furlong,az_furlong,mx_ut,my_ut,mz_ut,note\n1,2,3,20,-3,41,a\n`);
    expect(recording.has).toMatchObject({ accelerometer: false, magnetometer: true });
    expect(recording.warnings).toHaveLength(1);
    expect(recording.warnings[0]).toMatch(
      /line 1: skipped ax_furlong, ay_furlong, az_furlong.*not gravity in g, m\/s² or mg/,
    );
    expect((await opened(`${header},note\n${row},a\n`)).warnings).toEqual([]);
  });

  const bad: [string, string, RegExp, RegExp][] = [
    ['an empty file', '', /is empty/, /Record it again/],
    ['a header alone', `${header}\n`, /no rows/, /Record/],
    ['no header', `${row}\n${row}\n`, /6 columns of numbers and no names/, /--columns ax_g,ay_g,az_g,mx_ut/],
    [
      'text in a number column',
      `${header}\n${row}\n0.1,low,1,2,3,40\n`,
      /line 3, column ay_g holds "low"/,
      /Correct or delete/,
    ],
    [
      'NaN',
      `# c\n${header}\n${row}\n${row}\n0.1,0,1,2,NaN,40\n`,
      /line 5, column my_ut holds "NaN"/,
      /Correct or delete/,
    ],
    ['infinity', `${header}\n0.1,0,1,2,Infinity,40\n`, /line 2, column my_ut holds "Infinity"/, /Correct/],
    ['a number that overflows', `${header}\n0.1,0,1e999,2,3,40\n`, /line 2, column az_g/, /Correct/],
    ['a hexadecimal number', `${header}\n0x10,0,1,2,3,40\n`, /line 2, column ax_g holds "0x10"/, /Correct/],
    ['an empty cell', `${header}\n0.1,,1,2,3,40\n`, /line 2, column ay_g is empty/, /Correct/],
    ['a short row', `${header}\n${row}\n0.1,0.2\n`, /line 3: the number of columns differs/, /Correct or delete/],
    [
      'decimal commas',
      `${header}\n0,1,-0,2,0,98,20,5,-3,0,41,0\n`,
      /line 2: the number of columns differs/,
      /commas, decimals are written with a point/,
    ],
    ['a column twice', `ax_g,${header}\n`, /column ax_g appears twice/, /Rename/],
    ['two axes of three', 'ax_g,ay_g,mx_ut,my_ut,mz_ut\n1,2,3,4,5\n', /column az_g is missing/, /all three/],
    ['two units of one sensor', 'ax_g,ay_raw,az_g\n1,2,3\n', /mixed units.*ay_raw/, /one unit/],
    [
      'metres per second squared',
      `${header}\n${'0.4,-1.9,9.6,20,-3,41\n'.repeat(30)}`,
      /column az_g.*9\.6/,
      /9\.80665/,
    ],
    ['one axis in other units', `${header}\n${'0.1,-2.1,9.6,20,-3,41\n'.repeat(300)}`, /column az_g/, /Convert/],
    [
      'thousandths of g',
      `${header}\n${'12,-30,980,20,-3,41\n'.repeat(3)}`,
      /column az_g.*out of all range/,
      /thousandths/,
    ],
    [
      'nanotesla',
      `${header}\n${'0.1,0,1,20100,-3000,41000\n'.repeat(9)}`,
      /column mz_ut.*out of all range/,
      /nanotesla: divide by 1000/,
    ],
    [
      'gauss',
      `${header}\n${'0.1,0,1,0.201,-0.03,0.41\n'.repeat(9)}`,
      /column mx_ut.*under 3 microtesla/,
      /gauss: multiply by 100/,
    ],
    [
      'units that change on the way',
      `${header}\n${`${row}\n`.repeat(600)}${'1,2,9.7,20,-3,41\n'.repeat(600)}`,
      /lines \d+ to \d+, column az_g/,
      /9\.80665/,
    ],
    ['more columns than any logger has', `${'ax,'.repeat(12_000)}\n`, /12001 columns; more than 2000/, /CSV/],
    [
      'JSON',
      `{"ax":0.1,"ay":0,"az":1}\n{"ax":0.1,"ay":0,"az":1}\n`,
      /holds JSON, not a table/,
      /one row for each reading/,
    ],
    ['a binary file', '\x00\x01\x02\xff'.repeat(5000), /not a text file/, /UTF-8/],
    ['bytes that command a terminal', 'a\x1b[2Jb\x07\n1\n', /^[^\x1b\x07]*among "a\?\[2Jb\?"/, /ax_g/],
    ['the same in a cell', `${header}\n0,\x1b[2J,1,2,3,4\n`, /holds "\?\[2J"/, /Correct/],
    ['unknown units alone', 'ax_rod,ay_rod,az_rod\n1,2,3\n', /no column/, /ax_rod.*not gravity in g, m\/s² or mg/],
    [
      'a unit that does not fit',
      `ax_ms2,ay_ms2,az_ms2\n${'0,0,980\n'.repeat(9)}`,
      /az_ms2.*99\.9 g/,
      /a unit that differs/,
    ],
    [
      'linear acceleration of a phone',
      `"Time (s)","Linear Acceleration x (m/s^2)","Linear Acceleration y (m/s^2)","Linear Acceleration z (m/s^2)"\n${'0.01,0.02,-0.03,0.1\n'.repeat(9)}`,
      /no column of an accelerometer/,
      /no gravity in it, as in a linear acceleration; record what the accelerometer reads with gravity/,
    ],
    [
      'acceleration of the user and gravity apart',
      `gravity.x,gravity.y,gravity.z,userAcceleration.x,userAcceleration.y,userAcceleration.z\n${'0,0,1,0.01,0.02,-0.03\n'.repeat(9)}`,
      /no column of an accelerometer/,
      /gravity\.x \(gravity as a phone works it out.*userAcceleration\.x \(acceleration without gravity\)/,
    ],
    [
      'an acceleration without gravity under the name of an accelerometer',
      `ax,ay,az\n${'0.011,0.02,-0.03\n'.repeat(9)}`,
      /no column of an accelerometer/,
      /a length of about 0\.038 is not gravity in g, m\/s² or mg/,
    ],
    [
      'accelerometer and magnetometer in rows of their own',
      `${header}\n${'0.1,-0.2,0.98,,,\n,,,20.5,-3,41\n'.repeat(9)}`,
      /stand in different rows, and no time shows which belong together/,
      /one row for each reading of the magnetometer.*--columns/,
    ],
    [
      'numbers alone, and what they look like',
      [0, 10, 20, 30].map((ms) => `${ms} 0.1 2.2 9.53 0.01 0.02 0.03 20.1 -3.2 41.3\n`).join(''),
      /10 columns of numbers and no names/,
      /might be --columns t_ms,ax_ms2,ay_ms2,az_ms2,-,-,-,mx_ut,my_ut,mz_ut/,
    ],
    [
      'a sensor in every row, told by a word',
      `kind,x,y,z\n${'acc,0.1,0.2,9.5\nmag,20,3,41\n'.repeat(9)}`,
      /no column of an accelerometer/,
      /column kind holds "acc" and "mag".*one row, each sensor in columns of its own/,
    ],
    ['rows without a single reading', `${header}\n,,,,,\n,,,,,\n`, /none of its 2 rows/, /Record it again/],
    [
      'one axis missing in a row',
      `${header}\n${row}\n0.1,0,1,20,NaN,40\n`,
      /line 3, column my_ut holds "NaN"/,
      /Correct/,
    ],
    [
      'a time that is none',
      `time,${header}\n12:00:01.5,${row}\n12:00:01.6,${row}\nnoon,${row}\n12:00:01.8,${row}\n`,
      /line 4, column time holds "noon", which is not a date or time of day/,
      /Correct/,
    ],
    [
      'UTF-16 without a mark',
      [...`${header}\n${row}\n`].map((letter) => `${letter}\x00`).join(''),
      /not a text file/,
      /UTF-8/,
    ],
    ['an endless line', `${header}\n${'1'.repeat(200_000)}`, /line 2: longer than 64 kB/, /CSV/],
    ['an endless line of names', `${header}${',name'.repeat(26_000)}\n${row}\n`, /line 1: longer than 64 kB/, /CSV/],
    ['an endless name', `${'a'.repeat(130_000)}\n${row}\n`, /line 1: longer than 64 kB/, /CSV/],
    ...[
      ['-1e308', `${row.replace(/^[^,]*/, '-1e308')}`, 'ax_g'],
      ['9.9e37', `${row.replace(/[^,]*$/, '9.9e37')}`, 'mz_ut'],
      ['1000001', `${row.replace(/^[^,]*/, '1000001')}`, 'ax_g'],
    ].map(([cell, damaged, column]): [string, string, RegExp, RegExp] => [
      `a number that no sensor reads: ${cell}`,
      `${header}\n${row}\n${damaged}\n${row}\n`,
      new RegExp(`line 3, column ${column} holds "${cell}", which is not a value that a sensor can read`),
      /Correct or delete that line/,
    ]),
  ];
  test.each(bad)('%s is refused, says where and what to do', async (_, text, what, whatToDo) => {
    const fault = await faultOf(text);
    expect(fault.message).toMatch(what);
    expect(fault.whatToDo).toMatch(whatToDo);
    expect(fault.code).toBe(65);
  });

  test('a line as long as is read is read in time that grows with its length', async () => {
    const texts = [`${'a'.repeat(65_000)}\n`, `${'sampl '.repeat(10_800)}\n`, `${'a b '.repeat(16_000)}\n`];
    for (const text of texts) expect((await faultOf(`${text}${`${row}\n`.repeat(9)}`)).code).toBe(65);
  });

  test('whatever is in a file, it is read or refused in words, and soon', async () => {
    const cellText = fc.oneof(
      fc.constantFrom(
        'ax',
        'Acc X (g)',
        'mag_x',
        'x',
        'time',
        't_s',
        'NaN',
        '',
        '-',
        '"',
        '#',
        '(',
        '[0]',
        ')',
        'µT',
        'm_s2',
      ),
      fc.double().map(String),
      fc.string({ maxLength: 12 }),
      fc.string({ unit: 'binary', maxLength: 8 }),
    );
    const line = fc.tuple(fc.array(cellText, { maxLength: 12 }), fc.constantFrom(',', ';', '\t', ' ', '|'));
    const text = fc
      .tuple(fc.array(line, { maxLength: 12 }), fc.constantFrom('\n', '\r\n', '\r'))
      .map(([lines, end]) => lines.map(([cells, delimiter]) => cells.join(delimiter)).join(end));
    await fc.assert(
      fc.asyncProperty(text, async (content) => {
        const error: unknown = await opened(content, openQuietly)
          .then(all)
          .then(
            () => undefined,
            (fault: unknown) => fault,
          );
        if (error === undefined) return;
        expect(error).toBeInstanceOf(Failure);
        expect((error as Failure).whatToDo.length).toBeGreaterThan(5);
      }),
      { numRuns: 200, seed: 11 },
    );
  });

  test('options that do not fit the file say what would', async () => {
    const path = join(folder, 'options.csv');
    await writeFile(path, `acc1_x,acc1_y,acc1_z,acc2_x,acc2_y,acc2_z\n0,0,1,0,0,1\n`);
    await expect(openRecording(path, { columns: 'ax_g,ay_g,az_g,-,-,-,mx_ut' })).rejects.toMatchObject({
      code: 64,
      message: expect.stringMatching(/names 7 columns, but the rows of .* have 6/),
    });
    await expect(openRecording(path, { sensor: 'gyro' })).rejects.toMatchObject({
      code: 65,
      message: expect.stringMatching(/no sensor's columns hold the word "gyro"/),
      whatToDo: expect.stringMatching(/acc1_x, acc2_x/),
    });
  });

  test('single spikes are left to the fit', async () => {
    const text = `${header}\n${`${row}\n`.repeat(50)}0.1,0,14,20,-3,4100\n${`${row}\n`.repeat(50)}`;
    expect(await all(await opened(text))).toHaveLength(101);
  });

  test('what is not there or no file is told so', async () => {
    await expect(openRecording(join(folder, 'nothing.csv'))).rejects.toMatchObject({ code: 74 });
    await expect(openRecording(folder)).rejects.toMatchObject({
      code: 74,
      message: expect.stringContaining('not a file'),
    });
  });
});
