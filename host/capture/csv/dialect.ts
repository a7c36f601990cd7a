import { parse } from 'csv-parse/sync';
import { hasClock, labelsIn, withoutLabels } from './labels.ts';
import type { Head, Rewriting } from './text.ts';
import { isUnit } from './unitNames.ts';

/** How a file parts its columns, and where its rows begin. */
export interface Dialect {
  delimiter: string;
  /** What is done to the text before its rows are parted. */
  rewriting: Rewriting;
  /** What begins a comment. */
  comment: string;
  /** The names of the columns; undefined where no line holds them. */
  header: string[] | undefined;
  /** The file's line that holds the names, from 1. */
  headerLine: number;
  /** A second row of the header, which holds units. */
  units: string[] | undefined;
  /** Rows a second, where a line above them says so. */
  rateHz: number | undefined;
  /** The file's line of the first row, from 1, and its place in the head's text. */
  firstLine: number;
  firstAt: number;
  /** The rows of the head. */
  rows: string[][];
}

interface Line {
  text: string;
  /** Its place in the head's text, and that of the next line. */
  at: number;
  next: number;
  /** Counted from 1. */
  number: number;
  isComment: boolean;
}

const delimiters = [',', ';', '\t', '|', ' '];
const comments = ['#', '%', '//'];
/** Rows that are looked at before the first is given out. */
const mostRows = 4000;
const number = /^[+-]?(\d+[.,]?\d*|[.,]\d+)([eE][+-]?\d{1,3})?$/;
const missing = /^(nan|na|n\/a|null|none|-)?$/i;

/** Whether a cell stands for a reading that was not made. */
export const isMissing = (cell: string): boolean => missing.test(cell);

/** Finds names, units and rows in the head of a file. */
export function findDialect(head: Head): Dialect {
  const written = linesOf(head);
  const labels = labelsIn(written.flatMap(({ isComment, text }) => (isComment ? [] : text)).slice(0, 2));
  const clocks = written.some(({ text }) => hasClock(text));
  const isBare = labels === undefined && !clocks;
  const lines = isBare
    ? written
    : written.map((line) => ({ ...line, text: withoutLabels(line.text, labels !== undefined) }));
  const comment = comments.find((mark) => lines.some(({ text }) => text.startsWith(mark))) ?? '#';
  const content = lines.filter(({ isComment }) => !isComment);
  const { delimiter, first } = findRows(content);
  const cells = (text: string): string[] => cellsOf(text, delimiter);
  const rows = content.slice(first, first + mostRows).map(({ text }) => cells(text));
  const above = content.slice(0, first);
  const last = above.at(-1);
  const hasUnits = above.length > 1 && last !== undefined && isUnitsRow(cells(last.text), cells(above.at(-2)!.text));
  const width = rows[0]?.length;
  const names = hasUnits ? above.at(-2) : last;
  const upper = above.at(hasUnits ? -3 : -2);
  const named = names ?? commentedHeader(lines, content[first], delimiter, width);
  const firstRow = content[first];
  return {
    delimiter,
    rewriting: { blanks: delimiter === ' ', labels: labels !== undefined, clocks },
    comment,
    header:
      labels !== undefined && labels.length === width
        ? labels
        : named && besideRows(underGroups(namesOf(named, delimiter, width), upper && cells(upper.text)), rows),
    headerLine: named?.number ?? 1,
    units: hasUnits ? cells(last.text) : undefined,
    rateHz: rateIn(lines.slice(0, firstRow ? lines.indexOf(firstRow) : lines.length)),
    firstLine: firstRow?.number ?? (lines.at(-1)?.number ?? 0) + 1,
    firstAt: firstRow?.at ?? lines.at(-1)?.next ?? 0,
    rows,
  };
}

function linesOf({ text, isWhole }: Head): Line[] {
  const lines: Line[] = [];
  const shape = /([^\r\n]*)(\r\n|\n|\r|$)/g;
  for (let number = 1; shape.lastIndex < text.length; number += 1) {
    const at = shape.lastIndex;
    const [, line, end] = shape.exec(text)!;
    // The last line of a longer file is cut short.
    if (end === '' && !isWhole) break;
    if (line.trim() === '' || /^"?sep=.{0,2}"?$/.test(line)) continue;
    lines.push({
      text: line,
      at,
      next: shape.lastIndex,
      number,
      isComment: comments.some((mark) => line.startsWith(mark)),
    });
  }
  return lines;
}

/** The names of a header line; where it is parted otherwise than the rows, by what parts it into as many. */
function namesOf({ text, isComment }: Line, delimiter: string, width: number | undefined): string[] {
  const line = isComment ? text.replace(/^(#|%|\/\/)+\s*/, '') : text;
  const names = cellsOf(line, delimiter);
  if (width === undefined || width < 3 || names.length === width) return names;
  const ways = [...delimiters.map((each) => cellsOf(line, each)), line.trim().split(/\s{2,}|\t/)];
  return ways.find((cells) => cells.length === width) ?? names;
}

/** The delimiter that parts most numbers, and the first of two lines that hold numbers alike; the end where there is none. */
function findRows(lines: readonly Line[]): { delimiter: string; first: number } {
  const numbers = (text: string, delimiter: string): number => {
    const cells = cellsOf(text, delimiter);
    return cells.filter((cell) => number.test(cell) && (delimiter !== ',' || !cell.includes(','))).length;
  };
  for (let first = 0; first < lines.length; first += 1) {
    let best = { delimiter: '', count: 2 };
    for (const delimiter of delimiters) {
      const count = numbers(lines[first].text, delimiter);
      if (count > best.count) best = { delimiter, count };
    }
    if (best.delimiter === '') continue;
    const { delimiter } = best;
    const width = cellsOf(lines[first].text, delimiter).length;
    const isLike = ({ text }: Line): boolean =>
      numbers(text, delimiter) > 2 && cellsOf(text, delimiter).length === width;
    // What stands alone is of the head; a row may be torn, or a header come again.
    const following = lines.slice(first + 1, first + 4);
    if (following.length > 0 && !following.some(isLike)) continue;
    return { delimiter, first };
  }
  // No row of numbers: names in the first line, parted by what parts it into most columns.
  const text = lines[0]?.text ?? '';
  const delimiter = [',', ';', '\t'].reduce((a, b) => (text.split(b).length > text.split(a).length ? b : a));
  return { delimiter, first: Math.min(1, lines.length) };
}

function isUnitsRow(cells: readonly string[], names: readonly string[]): boolean {
  const units = cells.map((cell) => cell.replace(/^[[({](.*)[\])}]$/, '$1'));
  const said = units.filter((unit) => unit !== '');
  return cells.length === names.length && said.length >= 2 && said.filter(isUnit).length > said.length / 2;
}

/** Axes that stand below the names of their sensors, each sensor's name over the first of its axes only. */
function underGroups(names: string[], upper: readonly string[] | undefined): string[] {
  const axes = names.filter((name) => /^[xyz]$/i.test(name)).length;
  if (axes < 3 || upper === undefined || upper.filter((name) => name !== '').length < 2) return names;
  let group = '';
  return names.map((name, at) => {
    group = upper[at] || group;
    return name === '' ? (upper[at] ?? '') : `${group} ${name}`;
  });
}

/** Some programs number the rows and give that column no name. */
function besideRows(names: string[], rows: readonly (readonly string[])[]): string[] {
  const isNumbered = rows.every(
    (row, i) => row.length === names.length + 1 && Number(row[0]) === Number(rows[0][0]) + i,
  );
  return isNumbered && rows.length > 1 ? ['', ...names] : names;
}

const rateShape =
  /(?:^|[\s,;"#%/])(?:fs|(?:sampl\w*|update|data|output|logging)[ _-]?(?:rate|freq\w*)|frequency)(?:[ _]*[([]?hz[)\]]?)?\s*[:=,;\t]\s*"?(\d+(?:\.\d+)?)/i;

/** Fs,50.00 or # Update Rate: 100.0Hz */
function rateIn(lines: readonly Line[]): number | undefined {
  const said = lines.flatMap(({ text }) => rateShape.exec(text)?.[1] ?? []).map(Number);
  return said.find((rate) => rate > 0);
}

/** A comment that holds as many names as the rows have cells, right above them: #timestamp [ns],a_x [m s^-2], ... */
function commentedHeader(
  lines: readonly Line[],
  row: Line | undefined,
  delimiter: string,
  width: number | undefined,
): Line | undefined {
  const above = lines.filter(({ at }) => row !== undefined && at < row.at).at(-1);
  return above?.isComment && namesOf(above, delimiter, width).length === width ? above : undefined;
}

/** The cells of one line, trimmed and out of their quotes. */
function cellsOf(text: string, delimiter: string): string[] {
  const line = delimiter === ' ' ? text.trim().replaceAll(/[ \t]+/g, '\t') : text;
  const parted = delimiter === ' ' ? '\t' : delimiter;
  if (!line.includes('"')) return line.split(parted).map((cell) => cell.trim());
  try {
    const [cells = []] = parse(line, { delimiter: parted, relax_quotes: true, relax_column_count: true, trim: true });
    return cells as unknown as string[];
  } catch {
    return line.split(parted).map((cell) => cell.trim());
  }
}
