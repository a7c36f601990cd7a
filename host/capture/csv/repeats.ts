import type { Columns } from './columns.ts';

/** Fewer runs say nothing. */
const leastRuns = 8;

/**
 * Whether a magnetometer that is slower than the accelerometer stands in several rows with the same reading: runs of nearly the
 * same length throughout. A coarse magnetometer at rest repeats itself, too, but in runs of any length.
 */
export function repeatsField({ accelerometer, magnetometer }: Columns, rows: readonly (readonly string[])[]): boolean {
  if (!accelerometer || !magnetometer) return false;
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
