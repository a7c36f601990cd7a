// Real recordings, written again as other loggers would, give the same calibration and the same rests.
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CsvOptions } from '../../host/capture/csv/options.ts';
import { readDwells } from '../../host/commands/readDwells.ts';
import { tumbleFromFile } from '../../host/commands/tumbleFromFile.ts';
import { readTable, type RecordedTable } from './tumble-files.ts';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lodepole-restyled-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const axes = ['x', 'y', 'z'];
const standardGravityMs2 = 9.80665;

/** A recording as another logger would have written it. */
interface Logger {
  name: string;
  header: string;
  row: (of: (column: string) => number, i: number) => (string | number)[];
  delimiter: string;
  decimalComma?: boolean;
  options?: CsvOptions;
}

const loggers: Logger[] = [
  {
    name: 'ROS in SI units (REP 103: m/s², tesla, nanoseconds)',
    header: `%time,${axes.map((axis) => `field.linear_acceleration.${axis}`).join(',')},${axes.map((axis) => `field.magnetic_field.${axis}`).join(',')}`,
    row: (of, i) => [
      // A number holds no more than 256 ns here.
      String(BigInt(Math.round(of('t_s') * 1e6) * 1000) + 1_600_000_000_000_000_000n),
      ...axes.map((axis) => of(`a${axis}_g`) * standardGravityMs2),
      ...axes.map((axis) => of(`m${axis}_ut`) * 1e-6),
      i,
    ],
    delimiter: ',',
  },
  {
    name: 'semicolons, decimal commas, milliseconds',
    header: `Time (ms);${axes.map((axis) => `"Acc ${axis} (mg)"`).join(';')};${axes.map((axis) => `"Mag ${axis} (µT)"`).join(';')};No.`,
    row: (of, i) => [
      of('t_s') * 1000,
      ...axes.map((axis) => of(`a${axis}_g`) * 1000),
      ...axes.map((axis) => of(`m${axis}_ut`)),
      i,
    ],
    delimiter: ';',
    decimalComma: true,
  },
  {
    name: 'bare numbers, downward',
    header: '',
    row: (of, i) => [
      i,
      of('t_s'),
      ...axes.map((axis) => -of(`a${axis}_g`)),
      ...axes.map((axis) => of(`m${axis}_ut`) / 100),
    ],
    delimiter: ' ',
    options: { columns: '-,t_s,-ax_g,-ay_g,-az_g,mx_gauss,my_gauss,mz_gauss' },
  },
];

async function restyled(table: RecordedTable, { header, row, delimiter, decimalComma }: Logger): Promise<string> {
  const path = join(folder, 'restyled.csv');
  const columns = new Map<string, number[]>();
  const of = (name: string, i: number): number => {
    if (!columns.has(name)) columns.set(name, table.has(name) ? table.column(name) : []);
    return columns.get(name)![i] ?? 0;
  };
  const lines = Array.from({ length: table.rows }, (_, i) => {
    const cells = row((name) => of(name, i), i).map((value) =>
      decimalComma ? String(value).replace('.', ',') : String(value),
    );
    return cells.join(delimiter);
  });
  const names = header === '' ? [] : [delimiter === ',' ? `${header},row` : header];
  await writeFile(path, [...names, ...lines, ''].join('\n'));
  return path;
}

const original = (file: string): string => fileURLToPath(new URL(`data/${file}`, import.meta.url));

const tumbleFile = 'lis3mdl-lsm6dsox-tumble.csv';
const restsFile = 'lis3mdl-lsm6dsox-sixpos-static.csv';

async function tumbled(path: string, options?: CsvOptions): Promise<{ samplesUsed: number; numbers: number[] }> {
  const tumble = await tumbleFromFile(path, undefined, options);
  if (tumble.kind !== 'both' || !tumble.result.calibration) throw new Error('refused');
  const { correction, samplesUsed } = tumble.result.calibration;
  const numbers = [correction.accelerometer, correction.magnetometer].flatMap(({ bias, matrix }) => [
    ...bias,
    ...matrix.flat(),
  ]);
  return { samplesUsed, numbers };
}

describe('recordings written again', () => {
  let calibrated: Awaited<ReturnType<typeof tumbled>>;
  let rested: Awaited<ReturnType<typeof readDwells>>['dwells'];
  beforeAll(async () => {
    calibrated = await tumbled(original(tumbleFile));
    rested = (await readDwells(original(restsFile))).dwells;
    expect(rested.length).toBeGreaterThan(0);
  });

  it.each(loggers)('a tumble calibrates alike: $name', async (logger) => {
    const { samplesUsed, numbers } = await tumbled(await restyled(readTable(tumbleFile), logger), logger.options);
    expect(samplesUsed).toBe(calibrated.samplesUsed);
    numbers.forEach((value, i) =>
      expect(Math.abs(value - calibrated.numbers[i])).toBeLessThan(1e-5 * (1 + Math.abs(value))),
    );
  });

  it.each(loggers)('rests are found alike: $name', async (logger) => {
    const { dwells } = await readDwells(await restyled(readTable(restsFile), logger), { csv: logger.options });
    expect(dwells).toHaveLength(rested.length);
    // Rounded times may move the end of a rest by one row of hundreds.
    dwells.forEach(({ accelG, fieldNt }, i) => {
      accelG.forEach((value, axis) => expect(value).toBeCloseTo(rested[i].accelG[axis], 4));
      fieldNt.forEach((value, axis) => expect(Math.abs(value - rested[i].fieldNt[axis])).toBeLessThan(5));
    });
  });
});
