import { fitSphere } from '../ellipsoid.ts';
import type { Gate } from '../gate.ts';
import { cellOf } from './coverage.ts';
import type { Readings } from './invariants.ts';
import type { MergedReadings } from './mergedReadings.ts';
import type { TumbleSample } from './types.ts';

interface PackedReadings {
  /** Only readings all of whose numbers are finite. */
  readings: Readings;
  notNumbers: number;
  /** Seconds; undefined unless every reading has one and they only grow. */
  times: Float64Array | undefined;
}

/** Flat copy of the samples, scaled by `accelUnit` and `fieldUnit`. */
export function packReadings(samples: readonly TumbleSample[], accelUnit: number, fieldUnit: number): PackedReadings {
  const readings = new Float64Array(6 * samples.length);
  const times = new Float64Array(samples.length);
  let used = 0;
  for (const { accelG: a, fieldNt: f, boardS = NaN } of samples) {
    const sum = a[0] + a[1] + a[2] + f[0] + f[1] + f[2];
    if (!Number.isFinite(sum)) continue;
    for (let k = 0; k < 3; k += 1) {
      readings[used + k] = a[k] * accelUnit;
      readings[used + 3 + k] = f[k] * fieldUnit;
    }
    times[used / 6] = boardS;
    used += 6;
  }
  const kept = times.slice(0, used / 6);
  return {
    readings: readings.slice(0, used),
    notNumbers: samples.length - used / 6,
    times: kept.every((time, i) => i === 0 || time > kept[i - 1]) ? kept : undefined,
  };
}

export function packVectors(
  vectors: readonly (readonly number[])[],
  unit: number,
): { flat: Float64Array; notNumbers: number } {
  const finite = vectors.filter(([x, y, z]) => Number.isFinite(x + y + z));
  const flat = new Float64Array(3 * finite.length);
  finite.forEach((vector, i) => flat.set([vector[0] * unit, vector[1] * unit, vector[2] * unit], 3 * i));
  return { flat, notNumbers: vectors.length - finite.length };
}

/** One sensor's part of joint readings. */
export function sensorPart(readings: Readings, offset: 0 | 3): Float64Array {
  const flat = new Float64Array(readings.length / 2);
  for (let i = 0; i < readings.length / 6; i += 1)
    for (let k = 0; k < 3; k += 1) flat[3 * i + k] = readings[6 * i + offset + k];
  return flat;
}

/** One sensor's vectors before there is a calibration: the field's from the middle of its sphere. */
export function roughVectors(readings: Float64Array, offset: 0 | 3): Float64Array {
  const flat = sensorPart(readings, offset);
  const centre = offset === 3 ? (fitSphere(flat)?.centre ?? [0, 0, 0]) : [0, 0, 0];
  return flat.map((value, i) => value - centre[i % 3]);
}

export function countGates(count: number, notNumbers: number, least: number): Gate[] {
  const gates: Gate[] = [];
  if (notNumbers > 0) {
    const percent = (100 * notNumbers) / (count + notNumbers);
    gates.push({
      verdict: percent > 5 ? 'stop' : 'caution',
      reason: 'readings that are not numbers',
      value: percent,
      limit: percent > 5 ? 5 : 0,
      unit: 'percent',
      nextAction: 'Look at the recording: a sensor dropped out or a column is empty.',
    });
  }
  if (count < least) {
    gates.push({
      verdict: 'stop',
      reason: count === 0 ? 'there are no readings' : 'too few readings',
      value: count,
      limit: least,
      unit: 'readings',
      nextAction: 'Turn the board through every attitude while readings are taken.',
    });
  }
  return gates;
}

/** No attitude may hold more than this share of the readings, or a long rest outweighs the whole tumble. */
const largestShare = 0.08;

/** Thins out what was read while the board rested: keeps every attitude's readings evenly in time, up to its share. */
export function evenOut(merged: MergedReadings, ups: Float64Array, fields: Float64Array): MergedReadings {
  const n = merged.counts.length;
  const cap = Math.max(20, Math.ceil(largestShare * n));
  const counts = new Map<number, number>();
  const attitudes = Int32Array.from({ length: n }, (_, i) => attitudeAt(ups, fields, i));
  for (const attitude of attitudes) counts.set(attitude, (counts.get(attitude) ?? 0) + 1);
  if (Math.max(...counts.values()) <= cap) return merged;
  const seen = new Map<number, number>();
  const even: number[] = [];
  attitudes.forEach((attitude, i) => {
    const count = counts.get(attitude) ?? 0;
    const order = seen.get(attitude) ?? 0;
    seen.set(attitude, order + 1);
    const keep = count <= cap || Math.floor(((order + 1) * cap) / count) > Math.floor((order * cap) / count);
    if (keep) even.push(i);
  });
  return pick(merged, even);
}

/** Only the readings of these indices. */
export function pick(merged: MergedReadings, indices: ArrayLike<number>): MergedReadings {
  const { firstS, lastS, motion } = merged;
  const picked = (values: Float64Array, size = 1): Float64Array =>
    Float64Array.from(
      { length: size * indices.length },
      (_, i) => values[size * indices[Math.floor(i / size)] + (i % size)],
    );
  return {
    readings: picked(merged.readings, 6),
    counts: picked(merged.counts),
    ...(firstS && lastS && { firstS: picked(firstS), lastS: picked(lastS) }),
    ...(motion && {
      motion: {
        classes: Uint8Array.from(indices, (i) => motion.classes[i]),
        perLever: picked(motion.perLever, 9),
        perLag: picked(motion.perLag, 3),
        perLagSquared: picked(motion.perLagSquared, 3),
      },
    }),
  };
}

const attitudeAt = (ups: Float64Array, fields: Float64Array, i: number): number =>
  1000 * cellOf(ups[3 * i], ups[3 * i + 1], ups[3 * i + 2]) +
  cellOf(fields[3 * i], fields[3 * i + 1], fields[3 * i + 2]);

/** Number of different attitudes, by the pair of cells that up and field point to (three numbers each). */
export function attitudesSeen(ups: Float64Array, fields: Float64Array): number {
  const seen = new Set<number>();
  for (let i = 0; i < ups.length / 3; i += 1) seen.add(attitudeAt(ups, fields, i));
  return seen.size;
}
