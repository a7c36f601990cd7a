import { inverse, Matrix } from 'ml-matrix';
import type { Adjustment, MeasurementModel } from '../adjust.ts';
import { tumbleUnknowns } from './types.ts';

const { accelBias, fieldBias } = tumbleUnknowns;
/** The unknowns that may move. */
const moving = [accelBias, accelBias + 1, accelBias + 2, fieldBias, fieldBias + 1, fieldBias + 2];
/** Stretches of the tumble that are taken as independent of each other, each of at least this many readings. */
const runs = 30;
const leastPerRun = 5;
/** Hotelling's T squared of three components from 30 runs that chance exceeds once in two thousand times (from memory of the F distribution). */
const beyondChance = 27;

/** How far both sensors' zeros moved from the tumble's beginning to its end. */
export interface ZeroDrift {
  accelG: number;
  fieldNt: number;
  /** What the unknowns are off by at the end, as columns; empty where chance explains what is seen. */
  offs: readonly Float64Array[];
}

const noDrift: ZeroDrift = { accelG: 0, fieldNt: 0, offs: [] };

/** A covariance with systematic errors added to it (`consider` covariance, Schmidt 1966). */
export const withOffs = (covariance: Float64Array, offs: readonly Float64Array[]): Float64Array => {
  const n = Math.sqrt(covariance.length);
  return covariance.map((value, cell) =>
    offs.reduce((sum, off) => sum + off[Math.floor(cell / n)] * off[cell % n], value),
  );
};

/**
 * Whether the zeros moved evenly in the course of the tumble (a magnet or a cable moved on the board, a chip that warms up): one
 * linear step from the fit with the change of each bias as an unknown more. How sure that is comes from runs of neighbouring
 * readings (Liang and Zeger 1986), since a hand's errors last. A zero that did not move for certain is taken as at rest.
 */
export function zeroDrift({ estimate, covariance, weight }: Adjustment, model: MeasurementModel): ZeroDrift {
  const n = model.unknowns;
  const readings = model.residuals / 3;
  if (readings < runs * leastPerRun) return noDrift;
  const residual = new Float64Array(model.residuals);
  const jacobian = new Float64Array(model.residuals * n);
  model.evaluate(estimate, residual, jacobian);
  const byDrift = (row: number, k: number): number =>
    (Math.floor(row / 3) / (readings - 1) - 0.5) * jacobian[row * n + moving[k]];
  const mixed = Matrix.zeros(n, moving.length);
  const own = Matrix.zeros(moving.length, moving.length);
  for (let row = 0; row < model.residuals; row += 1) {
    const w = weight[Math.floor(row / 3)];
    for (let k = 0; k < moving.length; k += 1) {
      const d = w * byDrift(row, k);
      if (d === 0) continue;
      for (let j = 0; j < n; j += 1) mixed.set(j, k, mixed.get(j, k) + d * jacobian[row * n + j]);
      for (let l = 0; l < moving.length; l += 1) own.set(k, l, own.get(k, l) + d * byDrift(row, l));
    }
  }
  // By how much the unknowns move for each drift, and what is left of a drift's derivatives after them.
  const follow = Matrix.from1DArray(n, n, covariance).mmul(mixed);
  const free = inverse(Matrix.sub(own, mixed.transpose().mmul(follow)));
  const left = (row: number, k: number): number => {
    let sum = byDrift(row, k);
    for (let j = 0; j < n; j += 1) sum -= jacobian[row * n + j] * follow.get(j, k);
    return sum;
  };
  const gradients = Array.from({ length: runs }, () => Matrix.zeros(moving.length, 1));
  for (let row = 0; row < model.residuals; row += 1) {
    const run = gradients[Math.floor((Math.floor(row / 3) * runs) / readings)];
    const weighted = weight[Math.floor(row / 3)] * residual[row];
    for (let k = 0; k < moving.length; k += 1) run.set(k, 0, run.get(k, 0) - weighted * left(row, k));
  }
  const steps = gradients.map((gradient) => free.mmul(gradient));
  const change = steps.reduce((sum, step) => sum.add(step), Matrix.zeros(moving.length, 1));
  const scatter = Matrix.zeros(moving.length, moving.length);
  for (const step of steps) {
    const off = Matrix.sub(step, Matrix.div(change, runs));
    scatter.add(off.mmul(off.transpose()).mul(runs / (runs - 1)));
  }

  const offs: Float64Array[] = [];
  const sizeOf = (from: number): number => {
    const to = from + 2;
    const part = change.subMatrix(from, to, 0, 0);
    const squared = part
      .transpose()
      .mmul(inverse(scatter.subMatrix(from, to, from, to)))
      .mmul(part)
      .get(0, 0);
    if (!(squared > beyondChance)) return 0;
    const off = Float64Array.from(
      follow
        .subMatrix(0, n - 1, from, to)
        .mmul(part)
        .to1DArray(),
    );
    for (let k = from; k <= to; k += 1) off[moving[k]] += change.get(k, 0) / 2;
    offs.push(off);
    return part.norm();
  };
  return { accelG: sizeOf(0), fieldNt: sizeOf(3), offs };
}
