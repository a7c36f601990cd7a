import { exitCode, Failure } from '../failure.ts';

/** Positions of the known columns in a CSV header, and whether each sensor's scale is known. */
export interface Columns {
  time?: number;
  accelerometer?: Triple;
  magnetometer?: Triple;
  gyro?: Triple;
  temperature?: number;
  /** Names of the columns that are passed over. */
  others: string[];
}

export interface Triple {
  at: readonly [number, number, number];
  names: readonly [string, string, string];
  scaleKnown: boolean;
}

const sensors = [
  { key: 'accelerometer', letter: 'a', unit: 'g', example: 'ax_g,ay_g,az_g' },
  { key: 'magnetometer', letter: 'm', unit: 'ut', example: 'mx_ut,my_ut,mz_ut' },
  { key: 'gyro', letter: 'g', unit: 'dps', example: 'gx_dps,gy_dps,gz_dps' },
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

  const columns: Columns = { time: find('t_s'), temperature: find('temp_c'), others: [] };
  for (const { key, letter, unit, example } of sensors) {
    const present = names.filter((name) => new RegExp(`^${letter}[xyz]_(${unit}|raw)$`).test(name));
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
    columns[key] = { at, names: wanted, scaleKnown: suffix !== 'raw' };
  }
  if (columns.accelerometer === undefined && columns.magnetometer === undefined) {
    fail(
      `no column of an accelerometer or a magnetometer among "${names.slice(0, 16).join(',').slice(0, 200)}"`,
      'Name the columns in the first line, separated by commas: ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut (or _raw in place of a unit).',
    );
  }
  const used = [columns.time, columns.temperature, ...sensors.flatMap(({ key }) => columns[key]?.at ?? [])];
  columns.others = names.filter((_, at) => !used.includes(at));
  return columns;
}
