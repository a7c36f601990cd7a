import { adjust, type Adjustment, type MeasurementModel, type Prior } from '../adjust.ts';
import { footPoints } from './footPoints.ts';
import { modelFor } from './handling.ts';
import { whiteningOf } from './invariants.ts';
import type { MergedReadings } from './mergedReadings.ts';
import { rateClass } from './motion.ts';
import type { RowSigma } from './rowSigma.ts';
import type { SensorNoise } from './types.ts';

/** Length of the three whitened invariants of one reading above which it is weighted down. */
export const shakyLength = 3.5;
const maximumIterations = 30;

/** What all fits of one tumble have in common. */
export interface TumbleProblem {
  fieldNt: number;
  /** Of the unknowns of the handling as well, where the motion is known. */
  prior: Prior;
}

/** Readings, and what the next fit weighs them by. */
interface Weighed {
  kept: MergedReadings;
  noise: SensorNoise;
  rowSigma: RowSigma;
}

export interface WeighedFit extends Weighed {
  /** That the fit was made with. */
  whitening: Float64Array;
  adjustment: Adjustment;
}

/** Fits from `start`; robustly, unless the weight of each reading is `fixed`. Throws RangeError as `adjust` does. */
export function fitWeighed(
  { fieldNt, prior }: TumbleProblem,
  weighed: Weighed,
  start: Float64Array,
  fixed?: Float64Array,
): WeighedFit {
  const { kept, noise, rowSigma } = weighed;
  const whitening = whiteningOf(kept.readings, fieldNt, start, noise);
  for (let i = 0; i < kept.counts.length; i += 1) {
    const root = Math.sqrt(kept.counts[i] * (fixed ? fixed[i] : 1));
    const sigma = rowSigma[kept.motion?.classes[i] ?? rateClass.unknown];
    whitening[5 * i] *= root / sigma[0];
    whitening[5 * i + 1] *= root / sigma[1];
    for (let k = 2; k < 5; k += 1) whitening[5 * i + k] *= root / sigma[2];
  }
  const adjustment = adjust(modelFor(fieldNt, kept.motion)(kept.readings, whitening), start, {
    prior,
    maximumIterations,
    ...(fixed ? {} : { robust: { threshold: shakyLength, groupSize: 3 } }),
  });
  return { ...weighed, whitening, adjustment };
}

/** The model that a fit was made with. */
export const modelOfFit = ({ fieldNt }: TumbleProblem, { kept, whitening }: WeighedFit): MeasurementModel =>
  modelFor(fieldNt, kept.motion)(kept.readings, whitening);

/** The same model at the readings' foot points, for derivatives free of the readings' noise. */
export function modelAtFeet({ fieldNt }: TumbleProblem, fit: WeighedFit): MeasurementModel {
  const modelOf = modelFor(fieldNt, fit.kept.motion);
  return modelOf(footPoints(fit.adjustment.estimate, modelOf, fit.kept, fieldNt, fit.noise), fit.whitening);
}
