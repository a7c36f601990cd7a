import { inverse, Matrix } from 'ml-matrix';
import type { Adjustment, MeasurementModel, Prior } from '../adjust.ts';
import { invariantModel, type Readings } from './invariants.ts';
import type { Motion } from './mergedReadings.ts';
import { tumbleUnknowns } from './types.ts';

const { accelBias, fieldBias, count: n } = tumbleUnknowns;
/** After the chips' 22: three of the lever, metres, and the lag, seconds. */
const lagAt = n + 3;
const handledCount = n + 4;
/** How far a board is from the wrist or the elbow about which a hand turns it, per axis (assumed). */
const sigmaLeverM = 0.1;
/** How late a magnetometer's reading is against the accelerometer's beside it (assumed: chips filter, loggers wait). */
const sigmaLagS = 0.05;

/** The measurement model of given readings and whitening. */
export type ModelOf = (readings: Readings, whitening: Float64Array) => MeasurementModel;

/** With the unknowns of the handling where the motion is known, without them where it is not. */
export const modelFor =
  (fieldNt: number, motion: Motion | undefined): ModelOf =>
  (readings, whitening) => {
    if (!motion) return invariantModel(readings, fieldNt, whitening);
    const shifted = Float64Array.from(readings);
    return handledModel(invariantModel(shifted, fieldNt, whitening), readings, shifted, motion);
  };

/**
 * The invariants (`base`, which looks at `shifted` whenever it is evaluated) with four unknowns more: the board's place from
 * the point about which the hand turns it, in metres, and how late the magnetometer's readings are, in seconds. What the board feels
 * by its place is taken off each reading, and its field is turned on to the accelerometer's instant. A board that is never
 * at rest cannot tell its lever from a bias; these unknowns say so in the covariance.
 */
function handledModel(
  base: MeasurementModel,
  readings: Float64Array,
  shifted: Float64Array,
  motion: Motion,
): MeasurementModel {
  const { perLever, perLag, perLagSquared } = motion;
  const rows = base.residuals;
  const inner = new Float64Array(rows * n);
  return {
    unknowns: handledCount,
    residuals: rows,
    evaluate(u, residual, jacobian) {
      shifted.set(atOneInstant(readings, motion, u[lagAt]));
      takeLeverOff(shifted, perLever, u);
      base.evaluate(u, residual, inner);
      for (let row = 0; row < rows; row += 1) {
        const from = row * n;
        const into = row * handledCount;
        const reading = Math.floor(row / 3);
        for (let j = 0; j < n; j += 1) jacobian[into + j] = inner[from + j];
        let byLag = 0;
        for (let k = 0; k < 3; k += 1) {
          let sum = 0;
          for (let l = 0; l < 3; l += 1) sum += inner[from + accelBias + l] * perLever[9 * reading + 3 * l + k];
          jacobian[into + n + k] = sum;
          const at = 3 * reading + k;
          byLag -= inner[from + fieldBias + k] * (perLag[at] + u[lagAt] * perLagSquared[at]);
        }
        jacobian[into + lagAt] = byLag;
      }
    },
  };
}

/** The readings with the field as it was `lagS` later, when the accelerometer was read. */
function atOneInstant(readings: Float64Array, { perLag, perLagSquared }: Motion, lagS: number): Float64Array {
  const result = Float64Array.from(readings);
  for (let i = 0; i < readings.length / 6; i += 1)
    for (let k = 0; k < 3; k += 1)
      result[6 * i + 3 + k] += lagS * (perLag[3 * i + k] + (lagS / 2) * perLagSquared[3 * i + k]);
  return result;
}

function takeLeverOff(readings: Float64Array, perLever: Float64Array, u: Float64Array): void {
  for (let i = 0; i < readings.length / 6; i += 1)
    for (let k = 0; k < 3; k += 1)
      for (let l = 0; l < 3; l += 1) readings[6 * i + k] -= perLever[9 * i + 3 * k + l] * u[n + l];
}

export const handledStart = (chips: Float64Array): Float64Array => Float64Array.of(...chips, 0, 0, 0, 0);

export const handledPrior = ({ mean, sigma }: Prior): Prior => ({
  mean: [...Array.from(mean), 0, 0, 0, 0],
  sigma: [
    ...Array.from(sigma ?? new Array<number>(n).fill(Infinity)),
    sigmaLeverM,
    sigmaLeverM,
    sigmaLeverM,
    sigmaLagS,
  ],
});

/** Part of what the handling does that stays unknown: rates out of noisy directions are smoothed, and a hand's pivot wanders (assumed). */
const handlingDoubt = 0.1;

interface Handled {
  /** The chips' 22 unknowns alone. */
  adjustment: Adjustment;
  /** The readings with both sensors at one instant. */
  readings: Readings;
  lagS: number;
}

/**
 * The chips' unknowns alone, for lever and lag belong to the hand and the logger. What these moved them by is E = C_cl C_ll^-1 l; a
 * part of it is added to their covariance as a systematic error (`consider` covariance, Schmidt 1966).
 */
export function withoutHandling(adjustment: Adjustment, readings: Readings, motion: Motion | undefined): Handled {
  const { estimate, covariance } = adjustment;
  if (!motion) return { adjustment, readings, lagS: 0 };
  const extra = handledCount - n;
  const whole = Matrix.from1DArray(handledCount, handledCount, covariance);
  const block = inverse(whole.subMatrix(n, handledCount - 1, n, handledCount - 1));
  const effectOf = (from: number, to: number): Float64Array => {
    const own = Array.from({ length: extra }, (_, k) => (n + k >= from && n + k < to ? estimate[n + k] : 0));
    const moved = whole.subMatrix(0, n - 1, n, handledCount - 1).mmul(block.mmul(Matrix.columnVector(own)));
    return Float64Array.from(moved.to1DArray());
  };
  const effects = [effectOf(n, lagAt), effectOf(lagAt, handledCount)];
  const lagS = estimate[lagAt];
  return {
    adjustment: {
      ...adjustment,
      estimate: estimate.slice(0, n),
      covariance: Float64Array.from({ length: n * n }, (_, cell) => {
        const [i, j] = [Math.floor(cell / n), cell % n];
        const doubt = effects.reduce((sum, effect) => sum + effect[i] * effect[j], 0);
        return whole.get(i, j) + handlingDoubt ** 2 * doubt;
      }),
    },
    readings: atOneInstant(readings, motion, lagS),
    lagS,
  };
}
