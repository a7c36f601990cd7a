import type { Adjustment, MeasurementModel, Prior } from '../adjust.ts';
import { invariantModel, type Readings } from './invariants.ts';
import { inverse, type Matrix3 } from '../vector.ts';
import type { Motion } from './motion.ts';
import { tumbleUnknowns } from './types.ts';

const { accelBias, count: n } = tumbleUnknowns;
/** The 22 unknowns of the chips and the three of the lever. */
const leverCount = n + 3;
/** How far a board is from the wrist or the elbow about which a hand turns it, per axis (assumed). */
const sigmaLeverM = 0.1;

/** The measurement model of given readings and whitening. */
export type ModelOf = (readings: Readings, whitening: Float64Array) => MeasurementModel;

/** With the lever's unknowns where the motion is known, without them where it is not. */
export const modelFor =
  (fieldNt: number, motion: Motion | undefined): ModelOf =>
  (readings, whitening) => {
    if (!motion) return invariantModel(readings, fieldNt, whitening);
    const shifted = Float64Array.from(readings);
    return leverModel(invariantModel(shifted, fieldNt, whitening), readings, shifted, motion.perLever);
  };

/**
 * The invariants (`base`, which looks at `shifted` whenever it is evaluated) with three unknowns more: the board's place from
 * the point about which the hand turns it, in metres. What it feels by that, `perLever` times the lever, is taken off each reading.
 * A board that is never at rest cannot tell it from a bias; these unknowns say so in the covariance.
 */
function leverModel(
  base: MeasurementModel,
  readings: Float64Array,
  shifted: Float64Array,
  perLever: Float64Array,
): MeasurementModel {
  const rows = base.residuals;
  const inner = new Float64Array(rows * n);
  return {
    unknowns: leverCount,
    residuals: rows,
    evaluate(u, residual, jacobian) {
      shifted.set(turnedAboutItself(readings, perLever, u));
      base.evaluate(u, residual, inner);
      for (let row = 0; row < rows; row += 1) {
        const from = row * n;
        const into = row * leverCount;
        for (let j = 0; j < n; j += 1) jacobian[into + j] = inner[from + j];
        const at = 9 * Math.floor(row / 3);
        for (let k = 0; k < 3; k += 1) {
          let sum = 0;
          for (let l = 0; l < 3; l += 1) sum += inner[from + accelBias + l] * perLever[at + 3 * l + k];
          jacobian[into + n + k] = sum;
        }
      }
    },
  };
}

/** Readings as they would be were the board turned about itself. */
function turnedAboutItself(readings: Float64Array, perLever: Float64Array, u: Float64Array): Float64Array {
  const result = Float64Array.from(readings);
  for (let i = 0; i < readings.length / 6; i += 1)
    for (let k = 0; k < 3; k += 1)
      for (let l = 0; l < 3; l += 1) result[6 * i + k] -= perLever[9 * i + 3 * k + l] * u[n + l];
  return result;
}

export const withLeverPrior = ({ mean, sigma }: Prior): Prior => ({
  mean: [...Array.from(mean), 0, 0, 0],
  sigma: [...Array.from(sigma ?? new Array<number>(n).fill(Infinity)), sigmaLeverM, sigmaLeverM, sigmaLeverM],
});

/** Part of the lever's effect that stays unknown: a rate out of noisy directions is smoothed, and a hand's pivot wanders (assumed). */
const leverDoubt = 0.1;

/**
 * The chips' unknowns alone, for the lever belongs to the hand. What the lever moved them by is E = C_cl C_ll^-1 l; a part of it is
 * added to their covariance as a systematic error (`consider` covariance, Schmidt 1966).
 */
export function withoutLever(adjustment: Adjustment): Adjustment {
  const { estimate, covariance } = adjustment;
  const size = estimate.length;
  if (size === n) return adjustment;
  const at = (i: number, j: number): number => covariance[i * size + j];
  const block = [0, 1, 2].flatMap((i) => [0, 1, 2].map((j) => at(n + i, n + j)));
  const weights = inverse(block as unknown as Matrix3);
  const effect = Float64Array.from({ length: n }, (_, i) => {
    let sum = 0;
    for (let j = 0; j < 3; j += 1)
      for (let k = 0; k < 3; k += 1) sum += at(i, n + j) * weights[3 * j + k] * estimate[n + k];
    return sum;
  });
  return {
    ...adjustment,
    estimate: estimate.slice(0, n),
    covariance: Float64Array.from({ length: n * n }, (_, cell) => {
      const [i, j] = [Math.floor(cell / n), cell % n];
      return at(i, j) + leverDoubt ** 2 * effect[i] * effect[j];
    }),
  };
}
