import type { Vector3 } from '../../../calibration/vector.ts';
import type { RecordedSample } from '../recorded.ts';
import type { Columns, Triple } from './columns.ts';
import { isMissing } from './text.ts';

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

/** Between two accelerations further apart a hand may have done anything. */
const longestGapS = 0.1;
/** A magnetometer that waits longer for an acceleration is given up. */
const mostWaiting = 100;

/** Makes whole samples of what stands in the rows. */
export class Joiner {
  /** Rows in which a sensor made no reading, and rows that only repeat the magnetometer's last. */
  rowsWithoutReading = 0;
  rowsOfRepeatedField = 0;
  private readonly needs: { accelerometer: boolean; magnetometer: boolean };
  private readonly sharing: Sharing;
  private readonly emit: (sample: RecordedSample) => void;
  private lastField: Vector3 | undefined;
  private lastAccel: RecordedSample | undefined;
  private waiting: RecordedSample[] = [];

  constructor({ accelerometer, magnetometer }: Columns, sharing: Sharing, emit: (sample: RecordedSample) => void) {
    this.needs = { accelerometer: accelerometer !== undefined, magnetometer: magnetometer !== undefined };
    this.sharing = sharing;
    this.emit = emit;
  }

  offer(sample: RecordedSample): void {
    const { accelG, fieldNt } = sample;
    const isWhole = (accelG || !this.needs.accelerometer) && (fieldNt || !this.needs.magnetometer);
    if (this.sharing === 'apart') this.pair(sample);
    else if (!isWhole) this.rowsWithoutReading += 1;
    else if (this.sharing === 'repeated' && this.repeats(fieldNt!)) this.rowsOfRepeatedField += 1;
    else this.emit(sample);
  }

  /** The file is at its end: what still waits for an acceleration gets none. */
  finish(): void {
    this.rowsWithoutReading += this.waiting.length;
    this.waiting = [];
  }

  private repeats(field: Vector3): boolean {
    const last = this.lastField;
    this.lastField = field;
    return last !== undefined && field.every((value, i) => value === last[i]);
  }

  /** The acceleration at each reading of the magnetometer, on the straight line between its neighbours. */
  private pair(sample: RecordedSample): void {
    const { accelG, fieldNt } = sample;
    if (accelG) {
      for (const field of this.waiting) this.emitBetween(field, sample);
      this.waiting = [];
      this.lastAccel = sample;
    }
    if (!fieldNt) this.rowsWithoutReading += accelG ? 0 : 1;
    else if (accelG) this.emit(sample);
    else if (this.waiting.push(sample) > mostWaiting) {
      this.waiting.shift();
      this.rowsWithoutReading += 1;
    }
  }

  private emitBetween(field: RecordedSample, after: RecordedSample): void {
    const before = this.lastAccel;
    const gapS = before ? after.timeS! - before.timeS! : Infinity;
    if (!before || !(gapS >= 0 && gapS <= longestGapS)) {
      this.rowsWithoutReading += 1;
      return;
    }
    const part = gapS === 0 ? 0 : Math.min(1, Math.max(0, (field.timeS! - before.timeS!) / gapS));
    const [x, y, z] = before.accelG!.map((value, i) => value + part * (after.accelG![i] - value));
    this.emit({ ...field, accelG: [x, y, z] });
  }
}
