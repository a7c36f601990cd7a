import type { Adjustment, MeasurementModel, Prior } from '../adjust.ts';
import { priorGradient, priorInformation } from '../adjust/prior.ts';
import { whiteningOf } from './invariants.ts';
import type { MergedReadings } from './mergedReadings.ts';
import type { ModelOf } from './handling.ts';
import { tumbleUnknowns, type SensorNoise } from './types.ts';

const { accelBias, fieldBias } = tumbleUnknowns;
/** In sigmas of each unknown. */
const largestStep = 3;

/**
 * Each reading's foot point: the nearest that the fit holds possible. A reading enters as reading - bias, so its noise is estimated
 * by the columns of the biases.
 */
export function footPoints(
  estimate: Float64Array,
  modelOf: ModelOf,
  { readings, counts }: MergedReadings,
  fieldNt: number,
  noise: SensorNoise,
): Float64Array {
  const n = estimate.length;
  const rows = 3 * counts.length;
  const residual = new Float64Array(rows);
  const jacobian = new Float64Array(rows * n);
  modelOf(readings, whiteningOf(readings, fieldNt, estimate, noise)).evaluate(estimate, residual, jacobian);
  const feet = Float64Array.from(readings);
  const sensors = [
    { offset: 0, column: accelBias, variance: noise.accelG ** 2 },
    { offset: 3, column: fieldBias, variance: noise.fieldNt ** 2 },
  ];
  for (let i = 0; i < rows; i += 1)
    for (const { offset, column, variance } of sensors)
      for (let k = 0; k < 3; k += 1)
        feet[6 * Math.floor(i / 3) + offset + k] += variance * jacobian[i * n + column + k] * residual[i];
  return feet;
}

/**
 * One step that takes the readings' noise out of the derivatives. Derivatives taken at noisy readings go along with the residuals,
 * which pulls weakly known directions off by a part of their sigma (errors in variables); taken at the foot points (`atFeet`: the model
 * there) they do not (Gauss-Helmert model). A noisy chip that has seen half a sphere is pulled by 1.7 sigma; the step is left
 * out where it would exceed three: the readings are then not what the model says, and the gates will tell.
 */
export function withoutNoiseInDerivatives(fit: Adjustment, atFeet: MeasurementModel, prior: Prior): Float64Array {
  const n = fit.estimate.length;
  const rows = atFeet.residuals;
  const jacobian = new Float64Array(rows * n);
  atFeet.evaluate(fit.estimate, new Float64Array(rows), jacobian);
  const gradient = priorGradient(fit.estimate, priorInformation(n, prior), prior);
  for (let i = 0; i < rows; i += 1) {
    const weighted = fit.weight[Math.floor(i / 3)] * fit.residual[i];
    for (let j = 0; j < n; j += 1) gradient[j] += jacobian[i * n + j] * weighted;
  }
  const moved = Float64Array.from(fit.estimate);
  for (let j = 0; j < n; j += 1) {
    let step = 0;
    for (let k = 0; k < n; k += 1) step -= fit.covariance[j * n + k] * gradient[k];
    if (!(Math.abs(step) <= largestStep * Math.sqrt(fit.covariance[j * n + j]))) return fit.estimate;
    moved[j] += step;
  }
  return moved;
}
