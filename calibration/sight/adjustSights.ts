import { adjust, type Adjustment } from '../adjust.ts';
import { arcminute, degree, wrapPi } from '../angle.ts';
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

interface Known {
  valueRad: number;
  sigmaRad: number;
}

/** What is known before the first sight; standard deviations in radians. */
export interface SightPrior {
  /** From the compass rung, a latitude scale or a sight along the tripod; without it the axis is only roughly set. */
  altitudeError: Known;
  azimuthError: Known;
  /** From the counterweight shaft set level; absent: nothing is known. */
  rollZero?: Known;
  sigmaConeRad: number;
  sigmaNonPerpendicularityRad: number;
  /** Of each of the two terms that go round with the roll: `sigmaRoundRad`. */
  sigmaRoundRad: number;
}

/** An axis set by eye, a tube and a mount of ordinary make, a tumbled board: common practice. */
export const roughPrior: SightPrior = {
  altitudeError: { valueRad: 0, sigmaRad: 3 * degree },
  azimuthError: { valueRad: 0, sigmaRad: 5 * degree },
  sigmaConeRad: 10 * arcminute,
  sigmaNonPerpendicularityRad: 10 * arcminute,
  sigmaRoundRad: 3 * arcminute,
};

/**
 * Roll error that goes round with the roll: accelerometer bias across the axis (as an angle at 1 g) over gravity's part
 * across the axis, and the axis' error in the board lifted by the slope of the axis.
 */
export const sigmaRoundRad = (sigmaTiltRad: number, sigmaAxisInBoardRad: number, latitudeRad: number): number =>
  Math.hypot(sigmaTiltRad / Math.cos(latitudeRad), sigmaAxisInBoardRad * Math.tan(latitudeRad));

export interface SightSigmas {
  /** How well a star is centred across the declination circle. */
  centringRad: number;
  /** How well the instant is known against the reading. */
  clockS: number;
  /** Noise of gravity over the still second, as an angle at 1 g. */
  gravityRad: number;
}

/** Centring 1.5 arcminutes, clock 1 s, gravity 0.7 arcminute (2 mg over 100 samples at one second). */
export const usualSigmas: SightSigmas = { centringRad: 1.5 * arcminute, clockS: 1, gravityRad: 0.7 * arcminute };

const skyRadPerS = (2 * Math.PI) / 86164.0905;

/** Standard deviation of one sight, as roll. */
export const sigmaOfSight = (sigmas: SightSigmas, declinationRad: number, latitudeRad: number): number =>
  Math.hypot(
    sigmas.centringRad / Math.cos(declinationRad),
    sigmas.clockS * skyRadPerS,
    sigmas.gravityRad / Math.cos(latitudeRad),
  );

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
  converged: boolean;
}

/** Roll zero of an uninformed start lies anywhere; half a turn is as good as no knowledge. */
const anywhereRad = Math.PI;

/** Covariance before the first sight, row-major, all unknowns. */
export function firstCovariance(prior: SightPrior): Float64Array {
  const sigmas = [
    prior.altitudeError.sigmaRad,
    prior.azimuthError.sigmaRad,
    prior.rollZero?.sigmaRad ?? anywhereRad,
    prior.sigmaConeRad,
    prior.sigmaNonPerpendicularityRad,
    prior.sigmaRoundRad,
    prior.sigmaRoundRad,
  ];
  const covariance = new Float64Array(unknownCount * unknownCount);
  sigmas.forEach((sigma, j) => (covariance[j * unknownCount + j] = sigma ** 2));
  return covariance;
}

/** A tripod that is knocked seldom goes further. */
const sigmaShiftRad = 1.5 * degree;

/**
 * One adjustment over all sights. Works from a single sight on: what the sights do not determine stays at its prior.
 * With `movedFrom` the axis may have shifted before that sight; the errors returned are then those after the shift.
 * Throws RangeError when there is no sight or a number is not finite.
 */
export function adjustSights(
  sights: readonly Sight[],
  latitudeRad: number,
  prior: SightPrior = roughPrior,
  movedFrom?: number,
): SightAdjustment {
  if (sights.length === 0) throw new RangeError('adjustSights: no sight');
  const unknowns = movedFrom === undefined ? unknownCount : unknownCount + 2;
  const gradient = new Float64Array(unknownCount);
  const earlier = new Float64Array(unknownCount);
  const model = {
    unknowns,
    residuals: sights.length,
    evaluate(unknown: Float64Array, residual: Float64Array, jacobian: Float64Array): void {
      earlier.set(unknown.subarray(0, unknownCount));
      if (movedFrom !== undefined) {
        earlier[altitudeError] -= unknown[unknownCount];
        earlier[azimuthError] -= unknown[unknownCount + 1];
      }
      sights.forEach((sight, i) => {
        const isEarlier = movedFrom !== undefined && i < movedFrom;
        const predicted = predictedRoll(sight, latitudeRad, isEarlier ? earlier : unknown, gradient);
        const row = i * unknowns;
        residual[i] = wrapPi(sight.rollRad - predicted) / sight.sigmaRad;
        for (let j = 0; j < unknownCount; j += 1) jacobian[row + j] = -gradient[j] / sight.sigmaRad;
        if (movedFrom === undefined) return;
        jacobian[row + unknownCount] = isEarlier ? -jacobian[row + altitudeError] : 0;
        jacobian[row + unknownCount + 1] = isEarlier ? -jacobian[row + azimuthError] : 0;
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
  const startZero = prior.rollZero?.valueRad ?? commonRollZero(sights, latitudeRad, mean);
  set(rollZero, prior.rollZero ?? { valueRad: startZero, sigmaRad: anywhereRad });

  const fit = adjust(model, mean, { prior: { mean, sigma } });
  return describe(fit, sights, latitudeRad, mean, sigma, prior.rollZero !== undefined);
}

/** The roll zero that most sights agree on, so that one wrong sight does not lead the fit astray. */
function commonRollZero(sights: readonly Sight[], latitudeRad: number, at: Float64Array): number {
  const zeros = sights.map((sight) => sight.rollRad - predictedRoll(sight, latitudeRad, at));
  const agreement = (zero: number): number =>
    zeros.reduce((sum, other) => sum + Math.min(Math.abs(wrapPi(other - zero)), 10 * degree), 0);
  return zeros.reduce((best, zero) => (agreement(zero) < agreement(best) ? zero : best));
}

function describe(
  fit: Adjustment,
  sights: readonly Sight[],
  latitudeRad: number,
  mean: Float64Array,
  sigma: Float64Array,
  zeroIsKnown: boolean,
): SightAdjustment {
  const { estimate, covariance: c } = fit;
  const unknowns = estimate.length;
  let chiSquared = fit.chiSquared;
  for (let j = 0; j < unknowns; j += 1) {
    if (j !== rollZero || zeroIsKnown) chiSquared += ((estimate[j] - mean[j]) / sigma[j]) ** 2;
  }
  return {
    latitudeRad,
    altitudeErrorRad: estimate[altitudeError],
    azimuthErrorRad: estimate[azimuthError],
    axisCovariance: [c[0], c[1], c[unknowns], c[unknowns + 1]],
    estimate,
    covariance: c,
    residualRad: sights.map((sight, i) => fit.residual[i] * sight.sigmaRad),
    normalisedResidual: Array.from(fit.normalisedResidual),
    chiSquared,
    degreesOfFreedom: sights.length - (zeroIsKnown ? 0 : 1) - (unknowns - unknownCount),
    converged: fit.converged,
  };
}
