import type { MeasurementModel } from '../calibration/adjust.ts';

/**
 * Largest difference between a model's own derivatives and central differences at `unknown`, relative to the largest
 * derivative of the same column. `step` is in units of each unknown's `scale` (default 1). A right model gives about 1e-7 or less.
 */
export function largestDerivativeError(
  model: MeasurementModel,
  unknown: ArrayLike<number>,
  scale?: ArrayLike<number>,
  step = 1e-5,
): number {
  const { unknowns: n, residuals: m, residualsPerOwn } = model;
  const width = residualsPerOwn === undefined ? n : n + 1;
  const at = (j: number, change: number): { residual: Float64Array; jacobian: Float64Array } => {
    const moved = Float64Array.from(unknown);
    moved[j] += change;
    const residual = new Float64Array(m);
    const jacobian = new Float64Array(m * width);
    model.evaluate(moved, residual, jacobian);
    return { residual, jacobian };
  };
  const { jacobian } = at(0, 0);
  const analyticAt = (i: number, j: number): number => {
    if (j < n) return jacobian[i * width + j];
    return Math.floor(i / residualsPerOwn!) === j - n ? jacobian[i * width + n] : 0;
  };
  let worst = 0;
  for (let j = 0; j < unknown.length; j += 1) {
    const h = step * (scale?.[j] ?? 1);
    const [ahead, behind] = [at(j, h).residual, at(j, -h).residual];
    let largest = 0;
    let error = 0;
    for (let i = 0; i < m; i += 1) {
      const analytic = analyticAt(i, j);
      largest = Math.max(largest, Math.abs(analytic));
      error = Math.max(error, Math.abs(analytic - (ahead[i] - behind[i]) / (2 * h)));
    }
    worst = Math.max(worst, largest > 0 ? error / largest : error);
  }
  return worst;
}
