import { exitCode, Failure } from '../../failure.ts';
import { cellsOf, delimiters, type Line } from './text.ts';
import { findTime } from './time.ts';
import { accelerationUnit, fieldUnit, isUnit, magnitudeOf } from './units.ts';

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
  { header, rows }: { header: string[] | undefined; rows: string[][] },
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
        `${path}: no line with the names of the columns was found near its beginning.`,
        'Begin the file with a line such as ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut.',
      );
    }
    const guess = guessedNames(rows, numberOf);
    const proposal = guess ?? usual[width] ?? 't_s,-,ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut';
    throw new Failure(
      exitCode.badData,
      `${path} has ${width} columns of numbers and no names for them.`,
      `Give the names in order with --columns, - for one to skip; ${guess === undefined ? 'such as' : 'by the size of the numbers it might be'} --columns ${proposal}`,
    );
  }
  const names = columns.split(',').map((name) => (name.trim() === '-' ? '' : name.trim()));
  // Whatever stands behind the last one that is named is skipped.
  if (names.length <= width) return [...names, ...Array<string>(width - names.length).fill('')];
  throw new Failure(
    exitCode.usage,
    `--columns names ${names.length} columns, but the rows of ${path} have ${width}.`,
    'Name them in order, - for a column to skip.',
  );
}

/** The names of a header line; where it is parted otherwise than the rows, by what parts it into as many. */
export function namesOf({ text, isComment }: Line, delimiter: string, width: number | undefined): string[] {
  const line = isComment ? text.replace(/^(#|%|\/\/)+\s*/, '') : text;
  const names = cellsOf(line, delimiter);
  if (width === undefined || width < 3 || names.length === width) return names;
  const ways = [...delimiters.map((each) => cellsOf(line, each)), line.trim().split(/\s{2,}|\t/)];
  return ways.find((cells) => cells.length === width) ?? names;
}

/** Whether the cells of a line are the units of the names above it. */
export function isUnitsRow(cells: readonly string[], names: readonly string[]): boolean {
  const units = cells.map((cell) => cell.replace(/^[[({](.*)[\])}]$/, '$1'));
  const said = units.filter((unit) => unit !== '');
  return cells.length === names.length && said.length >= 2 && said.filter(isUnit).length > said.length / 2;
}

/** Axes that stand below the names of their sensors, each sensor's name over the first of its axes only. */
export function underGroups(names: string[], upper: readonly string[] | undefined): string[] {
  const axes = names.filter((name) => /^[xyz]$/i.test(name)).length;
  if (axes < 3 || upper === undefined || upper.filter((name) => name !== '').length < 2) return names;
  let group = '';
  return names.map((name, at) => {
    group = upper[at] || group;
    return name === '' ? (upper[at] ?? '') : `${group} ${name}`;
  });
}

/** Some programs number the rows and give that column no name. */
export function besideRows(names: string[], rows: readonly (readonly string[])[]): string[] {
  const isNumbered = rows
    .slice(0, 50)
    .every((row, i) => row.length === names.length + 1 && Number(row[0]) === Number(rows[0][0]) + i);
  return isNumbered && rows.length > 1 ? ['', ...names] : names;
}

const rateShape =
  /(?:^|[\s,;"#%/])(?:fs|(?:sampl\w{0,8}|update|data|output|logging)[ _-]?(?:rate|freq\w{0,8})|frequency)(?:[ _]*[([]?hz[)\]]?)?\s*[:=,;\t]\s*"?(\d+(?:\.\d+)?)/i;

/** Rows a second, as a line above them says: Fs,50.00 or # Update Rate: 100.0Hz */
export function rateIn(lines: readonly Line[]): number | undefined {
  const said = lines.flatMap(({ text }) => rateShape.exec(text)?.[1] ?? []).map(Number);
  return said.find((rate) => rate > 0);
}

/** A comment that holds as many names as the rows have cells, right above them: #timestamp [ns],a_x [m s^-2], ... */
export function commentedHeader(
  lines: readonly Line[],
  row: Line | undefined,
  delimiter: string,
  width: number | undefined,
): Line | undefined {
  const above = lines.filter(({ at }) => row !== undefined && at < row.at).at(-1);
  return above?.isComment && namesOf(above, delimiter, width).length === width ? above : undefined;
}
