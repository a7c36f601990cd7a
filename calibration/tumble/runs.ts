import type { Adjustment, MeasurementModel } from '../adjust.ts';
import { tumbleUnknowns } from './types.ts';

const { accelBias, accelMatrix, fieldBias, fieldMatrix, dip, count } = tumbleUnknowns;
const groups = [accelBias, accelMatrix, fieldBias, fieldMatrix, dip, count];
/** Runs of neighbouring readings, each long enough to be independent of the next; from fewer readings they would tell nothing. */
const runs = 60;
const leastReadings = 5 * runs;

/**
 * The covariance that is `stated` of a fit, made wider where long runs of readings err alike in a way that no autocorrelation of single
 * residuals shows (a field that differs a little from place to place, under a hand's white shaking): the cluster-robust covariance of Liang
 * and Zeger (1986), with runs for clusters, is looked at for each kind of unknown as a whole, and only ever widens, since white noise needs
 * none of it.
 */
export function widenedByRuns(fit: Adjustment, stated: Float64Array, model: MeasurementModel): Float64Array {
  const readings = model.residuals / 3;
  if (readings < leastReadings) return stated;
  const factor = inflation(fit, stated, model, readings);
  const n = model.unknowns;
  return stated.map((value, cell) => value * factor[Math.floor(cell / n)] * factor[cell % n]);
}

function inflation(
  { estimate, covariance, weight }: Adjustment,
  stated: Float64Array,
  model: MeasurementModel,
  readings: number,
): number[] {
  const n = model.unknowns;
  const residual = new Float64Array(model.residuals);
  const jacobian = new Float64Array(model.residuals * n);
  model.evaluate(estimate, residual, jacobian);
  const perWeight = model.residuals / weight.length;
  const squared = new Float64Array(n);
  const gradient = new Float64Array(n);
  for (let run = 0; run < runs; run += 1) {
    gradient.fill(0);
    const end = 3 * Math.floor(((run + 1) * readings) / runs);
    for (let row = 3 * Math.floor((run * readings) / runs); row < end; row += 1) {
      const weighted = weight[Math.floor(row / perWeight)] * residual[row];
      for (let j = 0; j < n; j += 1) gradient[j] += jacobian[row * n + j] * weighted;
    }
    for (let j = 0; j < n; j += 1) {
      let moved = 0;
      for (let k = 0; k < n; k += 1) moved += covariance[j * n + k] * gradient[k];
      squared[j] += moved ** 2;
    }
  }
  const factor = new Array<number>(n).fill(1);
  groups.slice(0, -1).forEach((from, g) => {
    const to = groups[g + 1];
    let ratio = 0;
    for (let j = from; j < to; j += 1) ratio += (squared[j] * runs) / (runs - 1) / stated[j * n + j] / (to - from);
    factor.fill(Math.max(1, Math.sqrt(ratio)), from, to);
  });
  return factor;
}
