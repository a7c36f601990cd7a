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
  /**
   * -2 ln of how likely the readings are when all this is so, whatever the unknowns are (Laplace's form of the evidence, Kass and
   * Raftery 1995, J. Am. Stat. Assoc. 90, 773): the less, the better an explanation. To compare explanations of the same readings.
   */
  surprise: number;
  converged: boolean;
}

/** A tripod that is knocked seldom goes further. */
const sigmaShiftRad = 1.5 * degree;
/** What the board reads of its own level wrong, the same at all sights. */
const sigmaLevelOffsetRad = degree;

/** What may have happened beside sights as they should be. */
export interface SightSlip {
  /** The axis may have shifted before this sight; the errors found are then those since. */
  movedFrom?: number;
  /** This sight tells nothing of its star, only of the level. */
  leftOut?: number;
}

/**
 * One adjustment over all sights. Works from a single sight on: what the sights do not determine stays at its prior, which
 * holds for the axis as it stood at the first sight. Throws RangeError when there is no sight or a number is not finite.
 */
export function adjustSights(
  sights: readonly Sight[],
  latitudeRad: number,
  prior: SightPrior = roughPrior,
  { movedFrom = Infinity, leftOut }: SightSlip = {},
): SightAdjustment {
  if (sights.length === 0) throw new RangeError('adjustSights: no sight');
  const levels = sights.flatMap(({ level, moved }, index) =>
    level ? [{ ...level, isLater: index >= movedFrom, movedRad: moved?.altitudeRad ?? 0 }] : [],
  );
  const hasMoved = movedFrom < sights.length;
  const shift = unknownCount;
  const offset = unknownCount + (hasMoved ? 2 : 0);
  const unknowns = offset + (levels.length > 0 ? 1 : 0);
  const gradient = new Float64Array(unknownCount);
  const later = new Float64Array(unknownCount);
  const model = {
    unknowns,
    residuals: sights.length + levels.length,
    evaluate(unknown: Float64Array, residual: Float64Array, jacobian: Float64Array): void {
      later.set(unknown.subarray(0, unknownCount));
      if (hasMoved) {
        later[altitudeError] += unknown[shift];
        later[azimuthError] += unknown[shift + 1];
      }
      sights.forEach((sight, i) => {
        if (i === leftOut) return;
        const isLater = i >= movedFrom;
        const predicted = predictedRoll(sight, latitudeRad, isLater ? later : unknown, gradient);
        const row = i * unknowns;
        residual[i] = wrapPi(sight.rollRad - predicted) / sight.sigmaRad;
        for (let j = 0; j < unknownCount; j += 1) jacobian[row + j] = -gradient[j] / sight.sigmaRad;
        if (!isLater) return;
        jacobian[row + shift] = jacobian[row + altitudeError];
        jacobian[row + shift + 1] = jacobian[row + azimuthError];
      });
      levels.forEach(({ altitudeRad, sigmaRad, isLater, movedRad }, i) => {
        const at = (isLater ? later : unknown)[altitudeError] + movedRad + unknown[offset];
        residual[sights.length + i] = (altitudeRad - Math.abs(latitudeRad) - at) / sigmaRad;
        const row = (sights.length + i) * unknowns;
        jacobian[row + altitudeError] = jacobian[row + offset] = -1 / sigmaRad;
        if (isLater) jacobian[row + shift] = -1 / sigmaRad;
      });
    },
  };

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
  if (hasMoved) sigma[shift + 1] = sigmaShiftRad / Math.cos(latitudeRad);
  if (levels.length > 0) sigma[offset] = sigmaLevelOffsetRad;
  const startZero = prior.rollZero?.valueRad ?? commonRollZero(sights, latitudeRad, mean);
  set(rollZero, prior.rollZero ?? { valueRad: startZero, sigmaRad: anywhereRad });

  const fit = adjust(model, mean, { prior: { mean, sigma } });
  const zeroIsKnown = prior.rollZero !== undefined;
  const told = sights.filter((_, index) => index !== leftOut);
  const { estimate, covariance } = sinceShift(fit, hasMoved ? shift : undefined);
  let { chiSquared } = fit;
  for (let j = 0; j < unknowns; j += 1) {
    if (j !== rollZero || zeroIsKnown) chiSquared += ((fit.estimate[j] - mean[j]) / sigma[j]) ** 2;
  }
  const freed = (zeroIsKnown ? 0 : 1) + (hasMoved ? 2 : 0) + (levels.length > 0 ? 1 : 0);
  return {
    latitudeRad,
    altitudeErrorRad: estimate[altitudeError],
    azimuthErrorRad: estimate[azimuthError],
    axisCovariance: [covariance[0], covariance[1], covariance[unknownCount], covariance[unknownCount + 1]],
    estimate,
    covariance,
    residualRad: sights.map((sight, i) => fit.residual[i] * sight.sigmaRad).filter((_, i) => i !== leftOut),
    normalisedResidual: Array.from(fit.normalisedResidual.subarray(0, sights.length)).filter((_, i) => i !== leftOut),
    chiSquared,
    degreesOfFreedom: told.length + levels.length - freed,
    surprise:
      chiSquared +
      2 * sigma.reduce((sum, one) => sum + Math.log(one), 0) -
      logDeterminant(fit.covariance, unknowns) +
      [...told, ...levels].reduce((sum, { sigmaRad }) => sum + Math.log(2 * Math.PI * sigmaRad ** 2), 0),
    converged: fit.converged,
  };
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

/** Of a positive definite matrix, row-major, by Cholesky's decomposition. */
function logDeterminant(matrix: Float64Array, n: number): number {
  const lower = Float64Array.from(matrix);
  let sum = 0;
  for (let j = 0; j < n; j += 1) {
    for (let k = 0; k < j; k += 1) {
      for (let i = j; i < n; i += 1) lower[i * n + j] -= lower[i * n + k] * lower[j * n + k];
    }
    const root = Math.sqrt(lower[j * n + j]);
    if (!(root > 0)) throw new RangeError('adjustSights: the covariance is not positive definite');
    sum += 2 * Math.log(root);
    for (let i = j; i < n; i += 1) lower[i * n + j] /= root;
  }
  return sum;
}

/** The roll zero that most sights agree on, so that one wrong sight does not lead the fit astray. */
function commonRollZero(sights: readonly Sight[], latitudeRad: number, at: Float64Array): number {
  const zeros = sights.map((sight) => sight.rollRad - predictedRoll(sight, latitudeRad, at));
  const agreement = (zero: number): number =>
    zeros.reduce((sum, other) => sum + Math.min(Math.abs(wrapPi(other - zero)), 10 * degree), 0);
  return zeros.reduce((best, zero) => (agreement(zero) < agreement(best) ? zero : best));
}
