import { cellsOf, delimiters, type Line } from './lines.ts';
import { isUnit } from './unitNames.ts';

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
  /(?:^|[\s,;"#%/])(?:fs|(?:sampl\w*|update|data|output|logging)[ _-]?(?:rate|freq\w*)|frequency)(?:[ _]*[([]?hz[)\]]?)?\s*[:=,;\t]\s*"?(\d+(?:\.\d+)?)/i;

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
