import { adjust, type Adjustment, type MeasurementModel, type Prior } from '../adjust.ts';
import type { Matrix3 } from '../vector.ts';
import { footPoints, withoutNoiseInDerivatives } from './footPoints.ts';
import { whiteningOf, type Readings } from './invariants.ts';
import { handledPrior, handledStart, modelFor, withoutHandling } from './handling.ts';
import { likeliestWander } from './likeliestWander.ts';
import type { MergedReadings } from './merge.ts';
import { rateClass } from './motion.ts';
import { invariantSpread, tellsNoise, typicalSpread, usualNoise } from './noise.ts';
import { pick } from './readings.ts';
import { correlationByClass, evenRows, rowsOf, rowSigmaByClass, type RowSigma } from './rowSigma.ts';
import { widenedByRuns } from './runs.ts';
import { covarianceUnderWander } from './sandwich.ts';
import type { TumbleStart } from './start.ts';
import { tumbleUnknowns, type ChipPrior, type SensorNoise, type SiteField } from './types.ts';
import { wanderRows, weighedDown, type WanderRows } from './wander.ts';

const { accelBias, accelMatrix, fieldBias, fieldMatrix, dip, count } = tumbleUnknowns;

/** Length of the three whitened invariants of one reading above which it is weighted down, and above which it is left out. */
const shakyLength = 3.5;
const outlyingLength = 6;
/** Readings that choose among the starts; all take part in the fit that follows. */
const readingsForStart = 600;
const maximumIterations = 30;
/** More is no noise but a wrong model, and must not loosen the fit until it runs away. */
const largestNoise: SensorNoise = { accelG: 0.1, fieldNt: 2500 };

export interface TumbleEstimate {
  adjustment: Adjustment;
  /** Those kept, and how many single readings each is the mean of. */
  readings: Readings;
  counts: Float64Array;
  noise: SensorNoise;
  /** How late the magnetometer's readings were, seconds. */
  lagS: number;
}

/**
 * Robust fit of the 22 unknowns, from the better of the starts: noise estimated where it is not given, gross errors left out,
 * and the whole made less sure where neighbouring readings err alike. Throws RangeError as `adjust` does.
 */
export function estimateTumble(
  all: MergedReadings,
  { candidates, fieldNt }: TumbleStart,
  prior: Prior,
  given: SensorNoise | undefined,
): TumbleEstimate {
  let kept = all;
  let noise = given ?? usualNoise;
  let rowSigma: RowSigma = evenRows;
  const robust = { threshold: shakyLength, groupSize: 3 };
  const fullPrior = all.motion ? handledPrior(prior) : prior;

  let whitening: Float64Array = new Float64Array(0);
  const fit = (start: Float64Array, of = kept, fixedWeight?: Float64Array): Adjustment => {
    whitening = whiteningOf(of.readings, fieldNt, start, noise);
    for (let i = 0; i < of.counts.length; i += 1) {
      const root = Math.sqrt(of.counts[i] * (fixedWeight ? fixedWeight[i] : 1));
      const sigma = rowSigma[of.motion?.classes[i] ?? rateClass.unknown];
      whitening[5 * i] *= root / sigma[0];
      whitening[5 * i + 1] *= root / sigma[1];
      for (let k = 2; k < 5; k += 1) whitening[5 * i + k] *= root / sigma[2];
    }
    return adjust(modelFor(fieldNt, of.motion)(of.readings, whitening), start, {
      prior: fullPrior,
      maximumIterations,
      ...(fixedWeight ? {} : { robust }),
    });
  };

  const few = thinned(all, readingsForStart);
  const starts = candidates.map((start) => (all.motion ? handledStart(start) : start));
  let best = fit(bestOf(starts.map((start) => () => fit(start, few))).estimate);
  const refine = (ratio: readonly [number, number, number]): void => {
    if (given || !tellsNoise(invariantSpread(best))) return;
    noise = {
      accelG: Math.min(noise.accelG * ratio[0], largestNoise.accelG),
      fieldNt: Math.min(noise.fieldNt * ratio[1], largestNoise.fieldNt),
    };
    best = fit(best.estimate);
  };
  for (let round = 0; round < 3; round += 1) refine(typicalSpread(best));
  // The angle may scatter more than both sensors' noise explains: readings that are not of the same instant.
  rowSigma = rowsOf([1, 1, Math.max(1, typicalSpread(best)[2])]);

  const outlying = best.weight.map((weight) => (weight < shakyLength / outlyingLength ? 1 : 0));
  if (outlying.some((flag) => flag === 1)) {
    kept = pick(
      kept,
      [...outlying.keys()].filter((i) => outlying[i] === 0),
    );
    best = fit(best.estimate);
  }
  rowSigma = evenRows;
  for (let round = 0; round < 2; round += 1) refine(invariantSpread(best).ratio);
  for (let round = 0; round < (kept.motion ? 3 : 1); round += 1) {
    const before = rowSigma;
    rowSigma = rowSigmaByClass(best, kept.motion?.classes, before);
    if (rowSigma !== before) best = fit(best.estimate);
  }

  const modelOf = modelFor(fieldNt, kept.motion);
  const modelAtFeet = (): MeasurementModel =>
    modelOf(footPoints(best.estimate, modelOf, kept, fieldNt, noise), whitening);
  const rows = (): WanderRows => wanderRows(best, modelOf(kept.readings, whitening), modelAtFeet(), kept);
  const correlation = correlationByClass(best, kept.motion?.classes);
  const wander = correlation.some((times) => times[0] > 1 || times[2] > 1)
    ? likeliestWander(rows(), rowSigma, fullPrior, best.estimate)
    : undefined;
  if (correlation.some((times) => times.some((time) => time > 1))) {
    rowSigma = rowSigma.map((sigma, of) => sigma.map((value, k) => value * Math.sqrt(correlation[of][k])));
    best = fit(best.estimate, kept, best.weight);
  }
  const covariance = wander
    ? covarianceUnderWander(rows(), weighedDown(wander, correlation), fullPrior)
    : best.covariance;
  const estimate = withoutNoiseInDerivatives(best, modelAtFeet(), fullPrior);
  const widened = widenedByRuns({ ...best, estimate }, covariance, modelOf(kept.readings, whitening));
  const whole = { ...best, estimate, covariance: widened };
  return { counts: kept.counts, noise, ...withoutHandling(whole, kept.readings, kept.motion) };
}

const thinned = (all: MergedReadings, most: number): MergedReadings => {
  const n = all.counts.length;
  return n <= most
    ? all
    : pick(
        all,
        Int32Array.from({ length: most }, (_, i) => Math.floor((i * n) / most)),
      );
};

function bestOf(fits: (() => Adjustment)[]): Adjustment {
  let best: Adjustment | undefined;
  let failure: unknown;
  for (const attempt of fits) {
    try {
      const fit = attempt();
      if (!best || fit.chiSquared < best.chiSquared) best = fit;
    } catch (error) {
      failure = error;
    }
  }
  if (!best) throw failure;
  return best;
}

/** Iron on the board, in fields: so wide that it only keeps a hopeless fit from running away. */
const hardIronOverField = 4;

/** What chips usually are off by, around the nominal orientation; the site's dip with the model's own sigma. */
export function tumblePrior(
  chip: ChipPrior,
  { nominal, radiusNt, fieldNt }: TumbleStart,
  site: SiteField | undefined,
  rawField: boolean,
): Prior {
  const mean = new Float64Array(count);
  const sigma = new Float64Array(count);
  const factor = rawField ? fieldNt / radiusNt : 1;
  mean.set([1, 0, 0, 1, 0, 1], accelMatrix);
  sigma.fill(chip.accelBiasG, accelBias, accelMatrix);
  sigma.fill(chip.accelMatrix, accelMatrix, fieldBias);
  sigma.fill(hardIronOverField * fieldNt, fieldBias, fieldMatrix);
  scaleInto(mean, nominal, factor);
  sigma.fill(chip.fieldMatrix * factor, fieldMatrix, dip);
  mean[dip] = site?.dipRad ?? 0;
  sigma[dip] = site?.sigmaDipRad ?? Infinity;
  return { mean, sigma };
}

function scaleInto(mean: Float64Array, nominal: Matrix3, factor: number): void {
  for (let i = 0; i < 9; i += 1) mean[fieldMatrix + i] = nominal[i] * factor;
}
