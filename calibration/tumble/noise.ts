import type { Adjustment } from '../adjust.ts';
import type { SensorNoise } from './types.ts';

/** Taken where the readings are too few to tell: consumer chips, averaged for a moment (common practice). */
export const usualNoise: SensorNoise = { accelG: 0.003, fieldNt: 300 };

/** Redundant readings below which nothing is said of a part of the readings by itself. */
export const leastRedundancy = 20;

/** Redundant readings below which the usual noise is taken. A dozen and a half single readings have about nine for each sensor. */
const fewestForNoise = 4;

interface InvariantSpread {
  /**
   * Standard deviation of each whitened invariant over what it should be, 1 when the noise was right: the mean of what the
   * variance may be, given the residuals (scaled inverse chi-squared: Gelman et al., Bayesian Data Analysis, section 3.2), so
   * that few readings are not believed too surely.
   */
  ratio: [number, number, number];
  /** Redundant readings behind each. */
  redundancy: [number, number, number];
}

/** Weighted variance of unit weight of each of the three invariants, of the readings that `takes` says (Koch 1999, variance components). */
export function invariantSpread(
  { residual, normalisedResidual, weight }: Adjustment,
  takes: (i: number) => boolean = () => true,
): InvariantSpread {
  const ratio: [number, number, number] = [1, 1, 1];
  const redundancy: [number, number, number] = [0, 0, 0];
  for (let k = 0; k < 3; k += 1) {
    let squared = 0;
    for (let i = 0; i < weight.length; i += 1) {
      if (!takes(i)) continue;
      const r = residual[3 * i + k];
      const normalised = normalisedResidual[3 * i + k];
      const free = normalised === 0 ? 0 : Math.min(1, (r / normalised) ** 2);
      squared += weight[i] * r * r;
      redundancy[k] += weight[i] * free;
    }
    const of = redundancy[k];
    if (of > 0) ratio[k] = Math.sqrt(squared / (of >= fewestForNoise ? of - 2 : of));
  }
  return { ratio, redundancy };
}

/**
 * Typical size of each whitened invariant, by the median of their sizes (1 for normal errors of the right noise): gross errors
 * that are fewer than half do not raise it.
 */
export function typicalSpread({ normalisedResidual }: Adjustment): [number, number, number] {
  return [0, 1, 2].map((k) => {
    const sizes = new Float64Array(normalisedResidual.length / 3);
    for (let i = 0; i < sizes.length; i += 1) sizes[i] = Math.abs(normalisedResidual[3 * i + k]);
    sizes.sort();
    return sizes[Math.floor(sizes.length / 2)] / medianOfNormal;
  }) as [number, number, number];
}
const medianOfNormal = 0.6745;

export const tellsNoise = ({ redundancy }: InvariantSpread): boolean =>
  redundancy[0] >= fewestForNoise && redundancy[1] >= fewestForNoise;

/**
 * Integrated autocorrelation time of residuals in the order of the readings, in readings: 1 for white noise, larger when
 * neighbours err alike (hand motion, a field that changes from place to place), by which the readings count for less. Initial
 * positive sequence (Geyer 1992).
 */
export function correlationTime(series: readonly number[]): number {
  const n = series.length;
  const mean = series.reduce((sum, value) => sum + value, 0) / n;
  const covariance = (lag: number): number => {
    let sum = 0;
    for (let i = 0; i + lag < n; i += 1) sum += (series[i] - mean) * (series[i + lag] - mean);
    return sum / n;
  };
  const variance = covariance(0);
  if (!(variance > 0)) return 1;
  let time = -1;
  for (let lag = 0; lag < Math.min(n / 4, 2000); lag += 2) {
    const pair = (covariance(lag) + covariance(lag + 1)) / variance;
    if (pair <= 0) break;
    time += 2 * pair;
  }
  return Math.max(1, time);
}
