import { readName } from './columnName.ts';
import type { Table } from './columns.ts';
import { shown } from './shown.ts';

/** Words for a file whose rows belong to several sensors by turns, as a column says; undefined where they do not. */
export function mixedRows({ names, rows }: Table): string | undefined {
  for (const [at, name] of names.entries()) {
    const values = [...new Set(rows.map((row) => row[at] ?? ''))];
    if (values.length > 30) continue;
    const sensors = values.filter((value) => readName(`${value} x`, 0)?.sensor !== undefined && !/^\W*$/.test(value));
    if (sensors.length < 2) continue;
    const [first, second] = sensors.map((value) => `"${shown(value)}"`);
    return `The rows are of several sensors by turns: column ${shown(name)} holds ${first} and ${second}. Write the readings of one instant in one row, each sensor in columns of its own.`;
  }
  return undefined;
}
