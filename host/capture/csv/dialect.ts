import { besideRows, commentedHeader, isUnitsRow, namesOf, rateIn, underGroups } from './names.ts';
import {
  cellsOf,
  comments,
  delimiters,
  hasClock,
  type Head,
  labelsIn,
  type Line,
  linesOf,
  type Rewriting,
  withoutLabels,
} from './text.ts';

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

/** Rows that are looked at before the first is given out. */
const mostRows = 4000;
const number = /^[+-]?(\d+[.,]?\d*|[.,]\d+)([eE][+-]?\d{1,3})?$/;
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
