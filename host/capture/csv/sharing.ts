import type { Columns, Triple } from './columns.ts';
import { isMissing } from './lines.ts';

/**
 * How accelerometer and magnetometer share the rows of a file: both in a row; a slower magnetometer's reading in every row until
 * the next; or each in rows of its own.
 */
export type Sharing = 'together' | 'repeated' | 'apart';

/** Fewer runs say nothing. */
const leastRuns = 8;

type Rows = readonly (readonly string[])[];

export function sharingOf({ accelerometer, magnetometer }: Columns, rows: Rows): Sharing {
  if (!accelerometer || !magnetometer) return 'together';
  if (isApart(accelerometer, magnetometer, rows)) return 'apart';
  return isRepeated(magnetometer, rows) ? 'repeated' : 'together';
}

function isApart(accelerometer: Triple, magnetometer: Triple, rows: Rows): boolean {
  const has = (row: readonly string[], { at }: Triple): boolean => !at.every((i) => isMissing(row[i] ?? ''));
  const ofAccel = rows.filter((row) => has(row, accelerometer));
  const ofField = rows.filter((row) => has(row, magnetometer)).length;
  const both = ofAccel.filter((row) => has(row, magnetometer)).length;
  return both < Math.min(ofAccel.length, ofField) / 2;
}

/**
 * Whether the same reading of the magnetometer stands in runs of nearly the same length throughout. A coarse magnetometer at rest
 * repeats itself, too, but in runs of any length.
 */
function isRepeated(magnetometer: Triple, rows: Rows): boolean {
  const runs: number[] = [];
  let last = '';
  for (const row of rows) {
    const reading = magnetometer.at.map((at) => row[at]).join(' ');
    if (reading === last) runs[runs.length - 1] += 1;
    else runs.push(1);
    last = reading;
  }
  // The first and the last may be cut short.
  const whole = runs.slice(1, -1);
  if (whole.length < leastRuns) return false;
  const usual = [...whole].sort((a, b) => a - b)[Math.floor(whole.length / 2)];
  return usual >= 2 && whole.filter((run) => Math.abs(run - usual) <= 1).length >= 0.9 * whole.length;
}
