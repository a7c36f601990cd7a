import type { Adjustment, MeasurementModel } from '../adjust.ts';
import type { MergedReadings } from './mergedReadings.ts';
import { rateClass } from './motion.ts';
import { tumbleUnknowns } from './types.ts';

const { accelBias } = tumbleUnknowns;

/**
 * How a fit's whitened residuals err together: each is white noise plus what it feels of a hand's own acceleration, which wanders in the
 * board's frame as a first-order Gauss-Markov process does. Gravity's length and the angle feel it, the field's length does not.
 */
export interface Wander {
  timeS: number;
  /** Variance of the white part, per class of rate and invariant. */
  white: readonly (readonly number[])[];
  /** Standard deviation of what is felt by a single reading; means of n feel it root n times more against their own noise. */
  felt: readonly (readonly number[])[];
}

/**
 * The same wander of rows that were weighed down by their autocorrelation times; a field's length, whose neighbours err alike by its
 * place, is then taken for white.
 */
export const weighedDown = ({ timeS, white, felt }: Wander, correlation: readonly (readonly number[])[]): Wander => ({
  timeS,
  white: white.map((row, of) => row.map((value, k) => (k === 1 ? value : value / correlation[of][k]))),
  felt: felt.map((row, of) => row.map((value, k) => value / Math.sqrt(correlation[of][k]))),
});

/** A fit's rows in the order of the readings, three a reading. */
export interface WanderRows {
  unknowns: number;
  readings: number;
  /** Per row the derivatives by the unknowns, then the residual. */
  values: Float64Array;
  /** Unit vectors in the board's frame along which gravity's length and the angle feel an acceleration: six numbers a reading. */
  directions: Float64Array;
  classes: Uint8Array;
  counts: Float64Array;
  /** Seconds since the reading before; readings, where there is no time. */
  gapS: Float64Array;
}

/** `atFeet`: the same model at the readings' foot points, for derivatives free of the readings' noise. */
export function wanderRows(
  { estimate, weight }: Adjustment,
  model: MeasurementModel,
  atFeet: MeasurementModel,
  { counts, firstS, lastS, motion }: MergedReadings,
): WanderRows {
  const n = model.unknowns;
  const readings = counts.length;
  const residual = new Float64Array(3 * readings);
  const jacobian = new Float64Array(3 * readings * n);
  atFeet.evaluate(estimate, residual, jacobian);
  model.evaluate(estimate, residual, new Float64Array(3 * readings * n));
  const values = new Float64Array(3 * readings * (n + 1));
  for (let row = 0; row < 3 * readings; row += 1) {
    const root = Math.sqrt(weight[Math.floor(row / 3)]);
    for (let j = 0; j < n; j += 1) values[row * (n + 1) + j] = root * jacobian[row * n + j];
    values[row * (n + 1) + n] = root * residual[row];
  }
  const directions = new Float64Array(6 * readings);
  for (let i = 0; i < readings; i += 1) {
    for (const half of [0, 1]) {
      const from = (3 * i + 2 * half) * n + accelBias;
      const length = Math.hypot(jacobian[from], jacobian[from + 1], jacobian[from + 2]);
      for (let k = 0; k < 3; k += 1) directions[6 * i + 3 * half + k] = jacobian[from + k] / length;
    }
  }
  const middle = (i: number): number => (firstS && lastS ? (firstS[i] + lastS[i]) / 2 : i);
  return {
    unknowns: n,
    readings,
    values,
    directions,
    classes: motion?.classes ?? new Uint8Array(readings).fill(rateClass.unknown),
    counts,
    gapS: counts.map((_, i) => (i === 0 ? Infinity : middle(i) - middle(i - 1))),
  };
}
