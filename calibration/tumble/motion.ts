import { correct } from '../correction.ts';
import {
  add,
  apply,
  cross,
  dot,
  inverse,
  matrix3,
  norm,
  normalise,
  scale,
  subtract,
  vector3,
  type Matrix3,
  type Vector3,
} from '../vector.ts';
import { accelMatrixOf, fieldMatrixOf, scaleMatrix3 } from './matrix.ts';
import type { MergedReadings, Motion } from './mergedReadings.ts';
import type { TumbleStart } from './start.ts';
import { tumbleUnknowns } from './types.ts';

const standardGravity = 9.80665;
/**
 * Turns are looked at over this long before and after each reading, as far as the board turned by less than half a radian meanwhile, or
 * over its neighbours where they are further off. Noise in the rates makes the lever too short (errors in variables), by far more than the
 * smoothing of a longer window: with 0.12 s the tilt of a board turned about the wrist was off by more than four times as much.
 */
const windowS = 0.3;
const nearCosine = Math.cos(0.5);
/** Between readings further apart, in time or by how far the board turned, nothing is known of how it was turned. */
const longestGapS = 0.4;
const leastCosine = Math.cos(0.7);

/** How quickly the board was turned at each reading, in classes: the hand's own acceleration differs between them. */
export const rateClass = { unknown: 0, rest: 1, slow: 2, quick: 3, count: 4 } as const;
/** Below these a board rests in the hand or is turned slowly, rad/s. */
const restRate = 0.05;
const slowRate = 0.3;

/**
 * Angular rate w and its change out of the readings themselves, without a gyro: up and field (by the last of the start's
 * candidates) stand still in the world, so in the board each changes by dv/dt = v x w. Undefined without times.
 */
export function motionOf(
  { readings, firstS, lastS, counts }: MergedReadings,
  { candidates, fieldNt }: TumbleStart,
): Motion | undefined {
  if (!firstS || !lastS) return undefined;
  const n = counts.length;
  const start = candidates[candidates.length - 1];
  const { ups, fields } = directions(readings, start);
  const rates: (Vector3 | undefined)[] = [];
  const reach: { from: number; to: number }[] = [];
  const classes = new Uint8Array(n);
  const middle = (i: number): number => (firstS[i] + lastS[i]) / 2;
  const near = (i: number, j: number): boolean =>
    Math.abs(middle(i) - middle(j)) <= windowS &&
    dot(ups[i], ups[j]) > nearCosine &&
    dot(fields[i], fields[j]) > nearCosine;
  const joined = (i: number): boolean =>
    i > 0 &&
    i < n &&
    firstS[i] - lastS[i - 1] <= longestGapS &&
    dot(ups[i - 1], ups[i]) > leastCosine &&
    dot(fields[i - 1], fields[i]) > leastCosine;
  for (let i = 0; i < n; i += 1) {
    let [from, to] = [joined(i) ? i - 1 : i, joined(i + 1) ? i + 1 : i];
    while (joined(from) && near(from - 1, i)) from -= 1;
    while (joined(to + 1) && near(to + 1, i)) to += 1;
    reach.push({ from, to });
    if (to - from < 2) continue;
    const rate = rateBetween(ups, fields, middle, from, to);
    rates[i] = rate;
    const turned = norm(rate);
    classes[i] = turned < restRate ? rateClass.rest : turned < slowRate ? rateClass.slow : rateClass.quick;
  }
  const perLever = new Float64Array(9 * n);
  const perLag = new Float64Array(3 * n);
  const perLagSquared = new Float64Array(3 * n);
  const raw = rawFieldPerUnit(start, fieldNt);
  for (let i = 0; i < n; i += 1) {
    const { from, to } = reach[i];
    const [rate, before, after] = [rates[i], rates[from], rates[to]];
    if (!rate || !before || !after) continue;
    const change = scale(subtract(after, before), 1 / (middle(to) - middle(from)));
    perLever.set(feltPerLever(rate, change), 9 * i);
    const turned = cross(fields[i], rate);
    perLag.set(apply(raw, turned), 3 * i);
    perLagSquared.set(apply(raw, add(cross(turned, rate), cross(fields[i], change))), 3 * i);
  }
  return { classes, perLever, perLag, perLagSquared };
}

/** Row-major ([w]x[w]x + [dw/dt]x) / g. */
function feltPerLever(w: Vector3, change: Vector3): number[] {
  const squared = dot(w, w);
  const [x, y, z] = change;
  const turning = [0, -z, y, z, 0, -x, -y, x, 0];
  return turning.map(
    (value, at) => (value + w[Math.floor(at / 3)] * w[at % 3] - (at % 4 === 0 ? squared : 0)) / standardGravity,
  );
}

/** Slopes of both directions over the readings from..to by least squares, and the one rate that fits both best. */
function rateBetween(
  ups: readonly Vector3[],
  fields: readonly Vector3[],
  middle: (i: number) => number,
  from: number,
  to: number,
): Vector3 {
  const n = to - from + 1;
  let meanS = 0;
  for (let i = from; i <= to; i += 1) meanS += middle(i) / n;
  let spread = 0;
  for (let i = from; i <= to; i += 1) spread += (middle(i) - meanS) ** 2;
  let right: Vector3 = [0, 0, 0];
  const left = [2, 0, 0, 0, 2, 0, 0, 0, 2];
  for (const directions of [ups, fields]) {
    let mean: Vector3 = [0, 0, 0];
    let slope: Vector3 = [0, 0, 0];
    for (let i = from; i <= to; i += 1) {
      mean = add(mean, directions[i]);
      slope = add(slope, scale(directions[i], (middle(i) - meanS) / spread));
    }
    const v = normalise(mean);
    // v x w = dv/dt gives w - v (v . w) = dv/dt x v.
    right = add(right, cross(slope, v));
    for (let at = 0; at < 9; at += 1) left[at] -= v[Math.floor(at / 3)] * v[at % 3];
  }
  const m = inverse(matrix3(left));
  return apply(m, right);
}

/** What a corrected field of unit length changes of a reading: `fieldNt` over the matrix. */
const rawFieldPerUnit = (start: Float64Array, fieldNt: number): Matrix3 =>
  scaleMatrix3(inverse(fieldMatrixOf(start)), fieldNt);

function directions(readings: Float64Array, start: Float64Array): { ups: Vector3[]; fields: Vector3[] } {
  const { accelBias, fieldBias } = tumbleUnknowns;
  const accelerometer = { bias: vector3(start, accelBias), matrix: accelMatrixOf(start) };
  const magnetometer = {
    bias: vector3(start, fieldBias),
    matrix: fieldMatrixOf(start),
  };
  const ups: Vector3[] = [];
  const fields: Vector3[] = [];
  for (let at = 0; at < readings.length; at += 6) {
    ups.push(normalise(correct(accelerometer, vector3(readings, at))));
    fields.push(normalise(correct(magnetometer, vector3(readings, at + 3))));
  }
  return { ups, fields };
}
