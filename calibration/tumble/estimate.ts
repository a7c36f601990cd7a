import type { Adjustment, Prior } from '../adjust.ts';
import { withoutNoiseInDerivatives } from './footPoints.ts';
import { handledPrior, handledStart, withoutHandling } from './handling.ts';
import type { Readings } from './invariants.ts';
import type { MergedReadings } from './mergedReadings.ts';
import { invariantSpread, tellsNoise, typicalSpread, usualNoise } from './noise.ts';
import { pick } from './readings.ts';
import { correlationByClass, evenRows, rowsOf, rowSigmaByClass, type RowSigma } from './rowSigma.ts';
import { widenedByRuns } from './runs.ts';
import type { TumbleStart } from './start.ts';
import type { SensorNoise } from './types.ts';
import { fitWeighed, modelAtFeet, modelOfFit, shakyLength, type TumbleProblem, type WeighedFit } from './weighedFit.ts';

/** Length of the three whitened invariants of one reading above which it is left out. */
const outlyingLength = 6;
/** Readings that choose among the starts; all take part in the fit that follows. */
const readingsForStart = 600;
/** More is no noise but a wrong model, and must not loosen the fit until it runs away. */
const largestNoise: SensorNoise = { accelG: 0.1, fieldNt: 2500 };

/** By so much more do neighbours err alike than their residuals show (of hands that shake for 0.3 to 1 s: `bench tumble`). */
const hiddenAlikeness = 1.2;

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
  const problem: TumbleProblem = { fieldNt, prior: all.motion ? handledPrior(prior) : prior };
  const starts = candidates.map((start) => (all.motion ? handledStart(start) : start));
  const refined = (fit: WeighedFit, ratio: (adjustment: Adjustment) => readonly number[]): WeighedFit =>
    given ? fit : withNoiseBy(problem, fit, ratio(fit.adjustment));

  const rough = fitFromBest(problem, all, starts, given ?? usualNoise);
  const typical = repeated(3, rough, (fit) => refined(fit, typicalSpread));
  const sound = withoutOutlying(problem, typical);
  const whole = repeated(2, sound, (fit) => refined(fit, (adjustment) => invariantSpread(adjustment).ratio));
  const byClass = repeated(all.motion ? 3 : 1, whole, (fit) => withRowsByClass(problem, fit));
  const { fit, covariance } = asSureAsNeighboursAllow(problem, byClass);
  const estimate = withoutNoiseInDerivatives(fit.adjustment, modelAtFeet(problem, fit), problem.prior);
  const moved = { ...fit.adjustment, estimate };
  const widened = { ...moved, covariance: widenedByRuns(moved, covariance, modelOfFit(problem, fit)) };
  const { kept, noise } = fit;
  return { counts: kept.counts, noise, ...withoutHandling(widened, kept.readings, kept.motion) };
}

const repeated = <T>(times: number, first: T, next: (value: T) => T): T =>
  Array.from({ length: times }).reduce<T>((value) => next(value), first);

/** All readings from the estimate that the better of the starts comes to with some of them. */
function fitFromBest(
  problem: TumbleProblem,
  all: MergedReadings,
  starts: readonly Float64Array[],
  noise: SensorNoise,
): WeighedFit {
  const weighed = { noise, rowSigma: evenRows };
  const few = thinned(all, readingsForStart);
  const best = bestOf(starts.map((start) => () => fitWeighed(problem, { ...weighed, kept: few }, start).adjustment));
  return fitWeighed(problem, { ...weighed, kept: all }, best.estimate);
}

const refit = (problem: TumbleProblem, fit: WeighedFit, changed: Partial<WeighedFit>): WeighedFit =>
  fitWeighed(problem, { ...fit, ...changed }, fit.adjustment.estimate);

/** Again with noise that is larger by these ratios; as it was where the readings are too few to tell noise. */
function withNoiseBy(problem: TumbleProblem, fit: WeighedFit, [accel, field]: readonly number[]): WeighedFit {
  if (!tellsNoise(invariantSpread(fit.adjustment))) return fit;
  const noise = {
    accelG: Math.min(fit.noise.accelG * accel, largestNoise.accelG),
    fieldNt: Math.min(fit.noise.fieldNt * field, largestNoise.fieldNt),
  };
  return refit(problem, fit, { noise });
}

/**
 * Again without gross errors; what follows weighs the rows evenly. Meanwhile the angle may scatter more than both sensors' noise
 * explains: readings that are not of the same instant.
 */
function withoutOutlying(problem: TumbleProblem, fit: WeighedFit): WeighedFit {
  const { kept, adjustment } = fit;
  const near = [...adjustment.weight.keys()].filter((i) => !(adjustment.weight[i] < shakyLength / outlyingLength));
  const isWhole = near.length === kept.counts.length;
  const rowSigma = rowsOf([1, 1, Math.max(1, typicalSpread(adjustment)[2])]);
  return { ...(isWhole ? fit : refit(problem, fit, { kept: pick(kept, near), rowSigma })), rowSigma: evenRows };
}

/** Again with each invariant as uncertain as it scatters in each class of rate, if that stands out. */
function withRowsByClass(problem: TumbleProblem, fit: WeighedFit): WeighedFit {
  const rowSigma = rowSigmaByClass(fit.adjustment, fit.kept.motion?.classes, fit.rowSigma);
  return rowSigma === fit.rowSigma ? fit : refit(problem, fit, { rowSigma });
}

/**
 * Readings whose neighbours err alike, as a hand that shakes the board makes them, count for less by their autocorrelation time. Of
 * a hand's acceleration, which gravity and the angle feel, the unknowns take a part up: so the covariance is wider by a fixed share
 * beyond that.
 */
function asSureAsNeighboursAllow(
  problem: TumbleProblem,
  fit: WeighedFit,
): { fit: WeighedFit; covariance: Float64Array } {
  const { adjustment, kept, rowSigma } = fit;
  const correlation = correlationByClass(adjustment, kept.motion?.classes);
  if (!correlation.some((times) => times.some((time) => time > 1))) return { fit, covariance: adjustment.covariance };
  const fewer: RowSigma = rowSigma.map((sigma, of) => sigma.map((value, k) => value * Math.sqrt(correlation[of][k])));
  const down = fitWeighed(problem, { ...fit, rowSigma: fewer }, adjustment.estimate, adjustment.weight);
  const { covariance } = down.adjustment;
  const isShaken = correlation.some(([gravity, , angle]) => gravity > 1 || angle > 1);
  return { fit: down, covariance: isShaken ? covariance.map((value) => value * hiddenAlikeness ** 2) : covariance };
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
