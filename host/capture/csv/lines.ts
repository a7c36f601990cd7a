import { parse } from 'csv-parse/sync';
import type { Head } from './text.ts';

/** A line of the head of a file that is not blank. */
export interface Line {
  text: string;
  /** Its place in the head's text, and that of the next line. */
  at: number;
  next: number;
  /** Counted from 1. */
  number: number;
  isComment: boolean;
}

export const delimiters = [',', ';', '\t', '|', ' '];
export const comments = ['#', '%', '//'];
const missing = /^(nan|na|n\/a|null|none|-)?$/i;

/** Whether a cell stands for a reading that was not made. */
export const isMissing = (cell: string): boolean => missing.test(cell);

/** The whole lines of the head of a file. */
export function linesOf({ text, isWhole }: Head): Line[] {
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

/** The cells of one line, trimmed and out of their quotes. */
export function cellsOf(text: string, delimiter: string): string[] {
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
