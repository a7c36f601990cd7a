import type { Gate } from '../gate.ts';
import type { Readings } from './invariants.ts';
import { sensorPart } from './readings.ts';

/** A sensor repeats its last reading in more rows than this share only if it is slower than the rows: noise changes at least one of three numbers. */
const slowShare = 0.15;

export interface FreshReadings {
  readings: Readings;
  times: Float64Array | undefined;
  gates: Gate[];
}

/**
 * Rows that tell something new: without those that repeat the row before, and, where one sensor is slower than the rows, without
 * those in which its reading has grown old while the board was turned.
 */
export function freshReadings(readings: Readings, times: Float64Array | undefined): FreshReadings {
  const n = readings.length / 6;
  const repeats = (offset: 0 | 3): Uint8Array => repeated(sensorPart(readings, offset));
  const [accel, field] = [repeats(0), repeats(3)];
  const share = (own: Uint8Array, other: Uint8Array): number =>
    own.reduce((sum, v, i) => sum + (v > other[i] ? 1 : 0), 0) / n;
  const [byAccel, byField] = [share(accel, field), share(field, accel)];
  const slower =
    Math.max(byAccel, byField) < slowShare ? undefined : byAccel > byField ? 'accelerometer' : 'magnetometer';
  const stale = slower === 'accelerometer' ? accel : slower === 'magnetometer' ? field : undefined;
  const kept: number[] = [];
  for (let i = 0; i < n; i += 1) if (!(accel[i] && field[i]) && !stale?.[i]) kept.push(i);
  const gates = slower ? [slowerGate(slower, 100 * Math.max(byAccel, byField))] : [];
  if (kept.length === n) return { readings, times, gates };
  const fresh = new Float64Array(6 * kept.length);
  kept.forEach((row, i) => fresh.set(readings.subarray(6 * row, 6 * row + 6), 6 * i));
  return { readings: fresh, times: times && Float64Array.from(kept, (row) => times[row]), gates };
}

const slowerGate = (sensor: 'accelerometer' | 'magnetometer', percent: number): Gate => ({
  verdict: 'caution',
  reason: `the ${sensor} is slower than the rows: its readings are repeated, and each is used once`,
  value: percent,
  limit: 100 * slowShare,
  unit: 'percent',
  nextAction: 'Nothing is wrong. Rows at the rate of the slower sensor would give the same result.',
});

/** 1 where a vector is the one before it, in all three numbers. */
function repeated(flat: Float64Array): Uint8Array {
  const same = new Uint8Array(flat.length / 3);
  for (let i = 1; i < same.length; i += 1) {
    const at = 3 * i;
    if (flat[at] === flat[at - 3] && flat[at + 1] === flat[at - 2] && flat[at + 2] === flat[at - 1]) same[i] = 1;
  }
  return same;
}
