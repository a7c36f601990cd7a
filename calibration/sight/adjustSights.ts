import { adjust, type Adjustment } from '../adjust.ts';
import { degree, wrapPi } from '../angle.ts';
import {
  altitudeError,
  azimuthError,
  cone,
  nonPerpendicularity,
  predictedRoll,
  rollCosine,
  rollSine,
  rollZero,
  unknownCount,
  type Sight,
} from './sightModel.ts';
import { anywhereRad, roughPrior, type Known, type SightPrior } from './sightPrior.ts';
import { sightLayout, sightProblem, type SightLayout, type SightSlip } from './sightProblem.ts';
import { surpriseOf } from './surprise.ts';

export interface SightAdjustment {
  latitudeRad: number;
  altitudeErrorRad: number;
  azimuthErrorRad: number;
  /** Row-major 2 x 2 of altitude and azimuth error. */
  axisCovariance: readonly [number, number, number, number];
  estimate: Float64Array;
  /** Row-major, all unknowns in the order of `unknownNames`. */
  covariance: Float64Array;
  residualRad: readonly number[];
  /** Residual over its own sigma after the fit; about N(0, 1). */
  normalisedResidual: readonly number[];
  /** Weighted squares of sights and priors. */
  chiSquared: number;
  degreesOfFreedom: number;
  /** See `surpriseOf`: the less, the better an explanation. To compare explanations of the same readings. */
  surprise: number;
  converged: boolean;
}

/** A tripod that is knocked seldom goes further. */
const sigmaShiftRad = 1.5 * degree;
/** What the board reads of its own level wrong, the same at all sights. */
const sigmaLevelOffsetRad = degree;

/**
 * One adjustment over all sights. Works from a single sight on: what the sights do not determine stays at its prior, which
 * holds for the axis as it stood at the first sight. Throws RangeError when there is no sight or a number is not finite.
 */
export function adjustSights(
  sights: readonly Sight[],
  latitudeRad: number,
  prior: SightPrior = roughPrior,
  slip: SightSlip = {},
): SightAdjustment {
  if (sights.length === 0) throw new RangeError('adjustSights: no sight');
  const layout = sightLayout(sights, slip);
  const { shift, offset, levels } = layout;
  const { mean, sigma } = priorOf(sights, latitudeRad, prior, layout);
  const fit = adjust(sightProblem(sights, latitudeRad, slip, layout), mean, { prior: { mean, sigma } });
  const zeroIsKnown = prior.rollZero !== undefined;
  const isTold = (_: unknown, index: number): boolean => index !== slip.leftOut;
  const told = sights.filter(isTold);
  const { estimate, covariance } = sinceShift(fit, shift);
  const fromPrior = fit.estimate.reduce(
    (sum, value, j) => (j !== rollZero || zeroIsKnown ? sum + ((value - mean[j]) / sigma[j]) ** 2 : sum),
    0,
  );
  const chiSquared = fit.chiSquared + fromPrior;
  const freed = (zeroIsKnown ? 0 : 1) + (shift === undefined ? 0 : 2) + (offset === undefined ? 0 : 1);
  return {
    latitudeRad,
    altitudeErrorRad: estimate[altitudeError],
    azimuthErrorRad: estimate[azimuthError],
    axisCovariance: [covariance[0], covariance[1], covariance[unknownCount], covariance[unknownCount + 1]],
    estimate,
    covariance,
    residualRad: sights.map((sight, i) => fit.residual[i] * sight.sigmaRad).filter(isTold),
    normalisedResidual: Array.from(fit.normalisedResidual.subarray(0, sights.length)).filter(isTold),
    chiSquared,
    degreesOfFreedom: told.length + levels.length - freed,
    surprise: surpriseOf(
      chiSquared,
      sigma,
      fit.covariance,
      [...told, ...levels].map(({ sigmaRad }) => sigmaRad),
    ),
    converged: fit.converged,
  };
}

/** Where each unknown is expected, and how surely. */
function priorOf(
  sights: readonly Sight[],
  latitudeRad: number,
  prior: SightPrior,
  { shift, offset, unknowns }: SightLayout,
): { mean: Float64Array; sigma: Float64Array } {
  const mean = new Float64Array(unknowns);
  const sigma = new Float64Array(unknowns).fill(sigmaShiftRad);
  const set = (index: number, known: Known): void => {
    mean[index] = known.valueRad;
    sigma[index] = known.sigmaRad;
  };
  set(altitudeError, prior.altitudeError);
  set(azimuthError, prior.azimuthError);
  set(cone, { valueRad: 0, sigmaRad: prior.sigmaConeRad });
  set(nonPerpendicularity, { valueRad: 0, sigmaRad: prior.sigmaNonPerpendicularityRad });
  set(rollSine, { valueRad: 0, sigmaRad: prior.sigmaRoundRad });
  set(rollCosine, { valueRad: 0, sigmaRad: prior.sigmaRoundRad });
  if (shift !== undefined) sigma[shift + 1] = sigmaShiftRad / Math.cos(latitudeRad);
  if (offset !== undefined) sigma[offset] = sigmaLevelOffsetRad;
  const common = (): Known => ({ valueRad: commonRollZero(sights, latitudeRad, mean), sigmaRad: anywhereRad });
  set(rollZero, prior.rollZero ?? common());
  return { mean, sigma };
}

/** Estimate and covariance of the usual unknowns as they are since the shift. */
function sinceShift(
  { estimate, covariance: c }: Adjustment,
  shift: number | undefined,
): Pick<SightAdjustment, 'estimate' | 'covariance'> {
  const unknowns = estimate.length;
  const partOf = (j: number): number[] => (shift !== undefined && j <= azimuthError ? [j, shift + j] : [j]);
  const since = Float64Array.from({ length: unknownCount }, (_, j) =>
    partOf(j).reduce((sum, part) => sum + estimate[part], 0),
  );
  const covariance = new Float64Array(unknownCount * unknownCount);
  for (let j = 0; j < unknownCount; j += 1) {
    for (let k = 0; k < unknownCount; k += 1) {
      for (const a of partOf(j)) for (const b of partOf(k)) covariance[j * unknownCount + k] += c[a * unknowns + b];
    }
  }
  return { estimate: since, covariance };
}

/** The roll zero that most sights agree on, so that one wrong sight does not lead the fit astray. */
function commonRollZero(sights: readonly Sight[], latitudeRad: number, at: Float64Array): number {
  const zeros = sights.map((sight) => sight.rollRad - predictedRoll(sight, latitudeRad, at));
  const agreement = (zero: number): number =>
    zeros.reduce((sum, other) => sum + Math.min(Math.abs(wrapPi(other - zero)), 10 * degree), 0);
  return zeros.reduce((best, zero) => (agreement(zero) < agreement(best) ? zero : best));
}
