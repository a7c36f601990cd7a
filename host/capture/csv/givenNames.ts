import { exitCode, Failure } from '../../failure.ts';
import type { Dialect } from './dialect.ts';
import { accelerationUnit, fieldUnit, magnitudeOf } from './magnitude.ts';
import { findTime } from './time.ts';

const mostColumns = 2000;

const usual: Readonly<Record<number, string>> = {
  3: 'ax_g,ay_g,az_g',
  4: 't_s,ax_g,ay_g,az_g',
  6: 'ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut',
  7: 't_s,ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut',
  9: 'ax_g,ay_g,az_g,gx_dps,gy_dps,gz_dps,mx_ut,my_ut,mz_ut',
  10: 't_s,ax_g,ay_g,az_g,gx_dps,gy_dps,gz_dps,mx_ut,my_ut,mz_ut',
};

/** What three columns without a name look like: gravity tells an accelerometer, the Earth's field a magnetometer. */
function looksLike(vectors: [number, number, number][]): string[] | undefined {
  const size = magnitudeOf(vectors);
  if (size === undefined || size.median === 0) return undefined;
  const gravity = accelerationUnit(size);
  const ending = gravity?.scaleKnown ? { 'm/s²': 'ms2', mg: 'mg', g: 'g' }[gravity.unit] : undefined;
  if (ending !== undefined && size.steadyShare > 0.5) return ['x', 'y', 'z'].map((axis) => `a${axis}_${ending}`);
  const field = fieldUnit(size);
  const named = field.scaleKnown
    ? { microtesla: 'ut', nanotesla: 'nt', gauss: 'gauss', tesla: 't', milligauss: 'mgauss' }[field.unit]
    : undefined;
  return named === undefined || size.median < 1e-5 ? undefined : ['x', 'y', 'z'].map((axis) => `m${axis}_${named}`);
}

/** Names for columns of numbers, by what the numbers look like; undefined where nothing is found. */
function guessedNames(rows: readonly (readonly string[])[], numberOf: (cell: string) => number): string | undefined {
  const width = rows[0].length;
  const { time } = findTime(['t', ...Array<string>(width - 1).fill('')], rows, numberOf);
  for (const first of time ? [1, 2, 0] : [0, 1, 2]) {
    const names = Array<string>(width).fill('-');
    if (time?.factor !== undefined && first > 0) names[0] = `t_${time.unit}`;
    for (let at = first; at + 3 <= width; at += 3) {
      const vectors = rows.map(
        (row) => [at, at + 1, at + 2].map((i) => numberOf(row[i] ?? '')) as [number, number, number],
      );
      const found = looksLike(vectors.filter((vector) => vector.every(Number.isFinite)));
      if (found && !names.includes(found[0])) names.splice(at, 3, ...found);
    }
    if (names.some((name) => name.startsWith('a'))) return names.join(',');
  }
  return undefined;
}

/** The names of a file's columns: its own, or those that the user gave in their order. Throws Failure where there are none, or too few or too many. */
export function namesGiven(
  path: string,
  { header, rows }: Dialect,
  columns: string | undefined,
  numberOf: (cell: string) => number,
): string[] {
  const width = Math.max(rows[0]?.length ?? 0, header?.length ?? 0);
  if (width > mostColumns) {
    throw new Failure(
      exitCode.badData,
      `${path} has ${width} columns; more than ${mostColumns} are not read.`,
      'Check that this is a CSV file, or keep only the columns of the sensors.',
    );
  }
  if (columns === undefined) {
    if (header !== undefined) return header;
    if (width === 0) {
      throw new Failure(
        exitCode.badData,
        `${path}: there is no line with the names of the columns in its first part.`,
        'Begin the file with a line such as ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut.',
      );
    }
    const guess = guessedNames(rows, numberOf);
    const proposal = guess ?? usual[width] ?? 't_s,-,ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut';
    throw new Failure(
      exitCode.badData,
      `${path} has ${width} columns of numbers and no names for them.`,
      `Give the names in order with --columns, - for one to pass over; ${guess === undefined ? 'such as' : 'by the size of the numbers it might be'} --columns ${proposal}`,
    );
  }
  const names = columns.split(',').map((name) => (name.trim() === '-' ? '' : name.trim()));
  // Whatever stands behind the last one that is named is passed over.
  if (names.length <= width) return [...names, ...Array<string>(width - names.length).fill('')];
  throw new Failure(
    exitCode.usage,
    `--columns names ${names.length} columns, but the rows of ${path} have ${width}.`,
    'Name them in order, - for a column to pass over.',
  );
}
