import { exitCode, Failure } from '../failure.ts';
import { printable } from '../output.ts';

/** Positions of the known columns in a CSV header, and whether each sensor's scale is known. */
export interface Columns {
  time?: number;
  accelerometer?: Triple;
  magnetometer?: Triple;
  gyro?: Triple;
  temperature?: number;
  /** Names of the columns that are passed over. */
  others: string[];
  /** What a person should know of those that look like a sensor's. */
  warnings: string[];
}

export interface Triple {
  at: readonly [number, number, number];
  names: readonly [string, string, string];
  scaleKnown: boolean;
  /** From the column's unit to g, microtesla or degrees per second; 1 where the scale is unknown. */
  factor: number;
}

/** Conventional value of the acceleration of free fall (3rd General Conference on Weights and Measures, 1901). */
const standardGravityMs2 = 9.80665;

const sensors = [
  {
    key: 'accelerometer',
    letter: 'a',
    units: { g: 1, mg: 0.001, ms2: 1 / standardGravityMs2 },
    example: 'ax_g,ay_g,az_g',
  },
  { key: 'magnetometer', letter: 'm', units: { ut: 1, nt: 0.001, gauss: 100 }, example: 'mx_ut,my_ut,mz_ut' },
  { key: 'gyro', letter: 'g', units: { dps: 1, rads: 180 / Math.PI }, example: 'gx_dps,gy_dps,gz_dps' },
] as const;

/**
 * Reads a CSV header: columns in any order, unknown ones passed over, `_raw` in place of a unit for counts of unknown
 * scale. Throws Failure where a sensor is there only in part or in two units, or where there is no sensor.
 */
export function readColumns(header: readonly string[], where: string): Columns {
  const names = header.map((name) => name.trim().toLowerCase());
  const fail = (what: string, whatToDo: string): never => {
    throw new Failure(exitCode.badData, `${where}: ${what}`, whatToDo);
  };
  const find = (name: string): number | undefined => {
    const at = names.indexOf(name);
    if (at !== names.lastIndexOf(name)) fail(`column ${name} is there twice`, 'Rename or delete one of them.');
    return at < 0 ? undefined : at;
  };

  const columns: Columns = { time: find('t_s'), temperature: find('temp_c'), others: [], warnings: [] };
  for (const { key, letter, units, example } of sensors) {
    const read = Object.keys(units).join('|');
    const unread = names.filter((name) => looksLike(letter, name) && !new RegExp(`_(${read}|raw)$`).test(name));
    if (unread.length > 0) {
      columns.warnings.push(
        `${where}: passed over ${unread.map((name) => shown(name)).join(', ')}: named like the ${key}, but the units that are read are ${Object.keys(units).join(', ')} (_raw for counts), such as ${example}.`,
      );
    }
    const present = names.filter((name) => new RegExp(`^${letter}[xyz]_(${read}|raw)$`).test(name));
    if (present.length === 0) continue;
    const suffix = present[0].slice(3);
    const odd = present.find((name) => name.slice(3) !== suffix);
    if (odd !== undefined) {
      fail(
        `mixed units: column ${odd} beside ${present[0]}`,
        `Give the ${key} one unit: ${example}, or _raw on all three.`,
      );
    }
    const wanted = ['x', 'y', 'z'].map((axis) => `${letter}${axis}_${suffix}`) as [string, string, string];
    const missing = wanted.find((name) => !present.includes(name));
    if (missing !== undefined) fail(`column ${missing} is missing`, `The ${key} needs all three axes: ${example}.`);
    const at = wanted.map((name) => find(name) as number) as [number, number, number];
    columns[key] = { at, names: wanted, scaleKnown: suffix !== 'raw', factor: factorOf(units, suffix) };
  }
  if (columns.accelerometer === undefined && columns.magnetometer === undefined) {
    fail(
      `no column of an accelerometer or a magnetometer among "${shown(names.slice(0, 16).join(','), 200)}"`,
      [
        ...columns.warnings.map((warning) => warning.slice(where.length + 2).replace(/^p/, 'P')),
        'Name the columns in the first line: ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut (or _raw in place of a unit).',
      ].join(' '),
    );
  }
  const used = [columns.time, columns.temperature, ...sensors.flatMap(({ key }) => columns[key]?.at ?? [])];
  columns.others = names.filter((_, at) => !used.includes(at));
  return columns;
}

const looksLike = (letter: string, name: string): boolean => new RegExp(`^${letter}[xyz]_`).test(name);

const factorOf = (units: Readonly<Record<string, number>>, suffix: string): number => units[suffix] ?? 1;

const shown = (name: string, longest = 40): string => printable(name.slice(0, longest));
