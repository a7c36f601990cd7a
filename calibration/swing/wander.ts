import type { Adjustment } from '../adjust.ts';
import { Matrix } from 'ml-matrix';
import type { HeldDwell } from './model.ts';
import { wanderShare } from './restNoise.ts';

/** Time over which a zero level forgets where it was (the half minute of `wanderShare`). */
const wanderTimeS = 30;

/**
 * Covariance of an adjustment that took its rests for independent, though the magnetometer's zero wanders slowly and so errs alike
 * in rests that follow each other: C + C (J^T V J) C with V what two rests have in common, wander times exp(-gap / time). A drift
 * that lasts as long as the swing looks like a turned axis, and no single rest shows it. Rests without a time stand alone. (The
 * accelerometer's wander: `creepG`.) Row-major, unknowns x unknowns.
 */
export function covarianceUnderWander(
  held: readonly HeldDwell[],
  { covariance, jacobian, weight }: Adjustment,
): Float64Array {
  const n = Math.sqrt(covariance.length);
  const timed = held
    .flatMap(({ dwell: { fromS, toS, samples } }, index) =>
      fromS === undefined || toS === undefined
        ? []
        : [{ index, atS: (fromS + toS) / 2, share: weight[index] * shareOfWander(samples) }],
    )
    .sort((a, b) => a.atS - b.atS);
  const common = new Float64Array(n * n);
  for (let part = 3; part < 6; part += 1) {
    // what the rests before this one have left in the unknowns' gradient, as far as it still lasts
    const before = new Float64Array(n);
    let lastS = -Infinity;
    for (const { index, atS, share } of timed) {
      const keep = Math.exp((lastS - atS) / wanderTimeS);
      lastS = atS;
      const row = jacobian.subarray((6 * index + part) * n, (6 * index + part + 1) * n);
      for (let j = 0; j < n; j += 1) before[j] *= keep;
      for (let j = 0; j < n; j += 1) {
        for (let l = 0; l <= j; l += 1) common[j * n + l] += share * (row[j] * before[l] + before[j] * row[l]);
      }
      for (let j = 0; j < n; j += 1) before[j] += share * row[j];
    }
  }
  for (let j = 0; j < n; j += 1) for (let l = 0; l < j; l += 1) common[l * n + j] = common[j * n + l];
  const own = Matrix.from1DArray(n, n, covariance);
  return Float64Array.from(Matrix.add(own, own.mmul(Matrix.from1DArray(n, n, common)).mmul(own)).to1DArray());
}

/** Of a rest's sigma, what is wander. */
const shareOfWander = (samples: number): number => wanderShare / Math.hypot(1 / Math.sqrt(samples), wanderShare);
