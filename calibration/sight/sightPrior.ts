import { arcminute, degree } from '../angle.ts';
import { skyRadPerS } from '../enough.ts';
import { unknownCount } from './sightModel.ts';

export interface Known {
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

interface SightSigmas {
  /** How well a star is centred across the declination circle. */
  centringRad: number;
  /** How well the instant is known against the reading. */
  clockS: number;
  /** Noise of gravity over the still second, as an angle at 1 g. */
  gravityRad: number;
}

/** Centring 1.5 arcminutes, clock 1 s, gravity 0.7 arcminute (2 mg over 100 samples at one second). */
export const usualSigmas: SightSigmas = { centringRad: 1.5 * arcminute, clockS: 1, gravityRad: 0.7 * arcminute };

/** Standard deviation of one sight, as roll. */
export const sigmaOfSight = (sigmas: SightSigmas, declinationRad: number, latitudeRad: number): number =>
  Math.hypot(
    sigmas.centringRad / Math.cos(declinationRad),
    sigmas.clockS * skyRadPerS,
    sigmas.gravityRad / Math.cos(latitudeRad),
  );

/**
 * Standard deviation of `Sight.level` but for what all sights share: noise of gravity, accelerometer bias across the axis (as an
 * angle at 1 g), and the axis' error in the board, which goes round with the roll.
 */
export const sigmaOfLevel = ({ gravityRad }: SightSigmas, sigmaTiltRad: number, sigmaAxisInBoardRad: number): number =>
  Math.hypot(gravityRad, sigmaTiltRad, sigmaAxisInBoardRad);

/** Roll zero of an uninformed start lies anywhere; half a turn is as good as no knowledge. */
export const anywhereRad = Math.PI;

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
