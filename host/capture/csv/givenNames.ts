import { exitCode, Failure } from '../../failure.ts';
import type { Dialect } from './dialect.ts';

const usual: Readonly<Record<number, string>> = {
  3: 'ax_g,ay_g,az_g',
  4: 't_s,ax_g,ay_g,az_g',
  6: 'ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut',
  7: 't_s,ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut',
  9: 'ax_g,ay_g,az_g,gx_dps,gy_dps,gz_dps,mx_ut,my_ut,mz_ut',
  10: 't_s,ax_g,ay_g,az_g,gx_dps,gy_dps,gz_dps,mx_ut,my_ut,mz_ut',
};

/** The names of a file's columns: its own, or those that the user gave in their order. Throws Failure where there are none, or too few or too many. */
export function namesGiven(path: string, { header, rows }: Dialect, columns: string | undefined): string[] {
  const width = Math.max(rows[0]?.length ?? 0, header?.length ?? 0);
  if (columns === undefined) {
    if (header !== undefined) return header;
    if (width === 0) {
      throw new Failure(
        exitCode.badData,
        `${path}: there is no line with the names of the columns in its first part.`,
        'Begin the file with a line such as ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut.',
      );
    }
    throw new Failure(
      exitCode.badData,
      `${path} has ${width} columns of numbers and no names for them.`,
      `Give the names in order with --columns, - for a column to pass over; ${usual[width] === undefined ? 'such as' : `if they are these:`} --columns ${usual[width] ?? 't_s,-,ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut'}`,
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
