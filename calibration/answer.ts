import { arcminute } from './angle.ts';
import { chanceOfChiSquared } from './chance.ts';
import { sigmaDistanceRad } from './live/distance.ts';
import { angleBetweenRad } from './vector.ts';
import { axisWithErrors, toNed, truePole } from './polarAxis.ts';

/** One measurement of the polar axis made tonight. */
export interface AxisEstimate {
  kind: 'compass' | 'sights' | 'drift' | 'sun';
  utcMs: number;
  altitudeErrorRad: number;
  azimuthErrorRad: number;
  /** Row-major 2 x 2 of altitude and azimuth error; a component that was not measured has a very large variance. */
  axisCovariance: readonly [number, number, number, number];
  /** How far the bolts have moved the axis since, by the needles before and after each nudge; absent: untouched. */
  movedSince?: { altitudeRad: number; azimuthRad: number };
}

/** How an estimate loses worth: the needles carry a nudge within a hundredth and a step of their own, and a tripod settles. */
const carriedShare = 0.01;
/** Of a nudge read 20 s before and after: a typical board's noise, 0.4' and 3.0' rms on 50 virtual nights (tests/bench/night.bench.ts). */
export const needleStepRad = { altitude: 0.5 * arcminute, azimuth: 3 * arcminute } as const;
const settlingPerHour = 0.5 * arcminute;

export interface AnswerPart {
  kind: AxisEstimate['kind'];
  ageS: number;
  /** Share of this measurement in each component of the answer, 0..1. */
  altitudeWeight: number;
  azimuthWeight: number;
  /** This measurement alone, carried to now. */
  altitudeErrorRad: number;
  azimuthErrorRad: number;
}

/** The errors of the polar axis now, from everything that was measured tonight. */
export interface Answer {
  altitudeErrorRad: number;
  azimuthErrorRad: number;
  axisCovariance: readonly [number, number, number, number];
  distanceRad: number;
  sigmaDistanceRad: number;
  parts: readonly AnswerPart[];
  /** Chance that measurements differ as much as these when all their sigmas hold; small: one of them is wrong. */
  agreement: number;
}

type Matrix2 = readonly [number, number, number, number];

const inverse = ([a, b, c, d]: Matrix2): Matrix2 => {
  const determinant = a * d - b * c;
  if (!(determinant > 0)) throw new RangeError('answer: a covariance is not positive definite');
  return [d / determinant, -b / determinant, -c / determinant, a / determinant];
};
const product = (m: Matrix2, n: Matrix2): Matrix2 => [
  m[0] * n[0] + m[1] * n[2],
  m[0] * n[1] + m[1] * n[3],
  m[2] * n[0] + m[3] * n[2],
  m[2] * n[1] + m[3] * n[3],
];

/**
 * Weighted mean of independent estimates by their inverse covariances, each carried to `nowMs` over the nudges
 * since. Throws RangeError when there is none.
 */
export function answerOf(estimates: readonly AxisEstimate[], latitudeRad: number, nowMs: number): Answer {
  if (estimates.length === 0) throw new RangeError('answer: nothing was measured');
  const carried = estimates.map((estimate) => {
    const { altitudeRad: altitude, azimuthRad: azimuth } = estimate.movedSince ?? { altitudeRad: 0, azimuthRad: 0 };
    const hours = Math.max(nowMs - estimate.utcMs, 0) / 3_600_000;
    const settled = settlingPerHour ** 2 * hours;
    const wasMoved = estimate.movedSince ? 1 : 0;
    const [aa, ax, xa, xx] = estimate.axisCovariance;
    const information = inverse([
      aa + settled + wasMoved * needleStepRad.altitude ** 2 + (carriedShare * altitude) ** 2,
      ax,
      xa,
      xx + settled / Math.cos(latitudeRad) ** 2 + wasMoved * needleStepRad.azimuth ** 2 + (carriedShare * azimuth) ** 2,
    ]);
    return {
      estimate,
      information,
      altitudeErrorRad: estimate.altitudeErrorRad + altitude,
      azimuthErrorRad: estimate.azimuthErrorRad + azimuth,
    };
  });
  const total = carried.reduce<Matrix2>(
    (sum, { information: i }) => [sum[0] + i[0], sum[1] + i[1], sum[2] + i[2], sum[3] + i[3]],
    [0, 0, 0, 0],
  );
  const axisCovariance = inverse(total);
  let altitudeErrorRad = 0;
  let azimuthErrorRad = 0;
  const parts = carried.map((part): AnswerPart => {
    const weight = product(axisCovariance, part.information);
    altitudeErrorRad += weight[0] * part.altitudeErrorRad + weight[1] * part.azimuthErrorRad;
    azimuthErrorRad += weight[2] * part.altitudeErrorRad + weight[3] * part.azimuthErrorRad;
    return {
      kind: part.estimate.kind,
      ageS: Math.max(nowMs - part.estimate.utcMs, 0) / 1000,
      altitudeWeight: weight[0],
      azimuthWeight: weight[3],
      altitudeErrorRad: part.altitudeErrorRad,
      azimuthErrorRad: part.azimuthErrorRad,
    };
  });
  const spread = carried.reduce((sum, { information: [a, b, c, d], ...part }) => {
    const altitude = part.altitudeErrorRad - altitudeErrorRad;
    const azimuth = part.azimuthErrorRad - azimuthErrorRad;
    return sum + a * altitude ** 2 + (b + c) * altitude * azimuth + d * azimuth ** 2;
  }, 0);
  const pole = truePole(latitudeRad);
  const across = Math.cos(pole.altitudeRad);
  return {
    altitudeErrorRad,
    azimuthErrorRad,
    axisCovariance,
    distanceRad: angleBetweenRad(toNed(axisWithErrors(pole, altitudeErrorRad, azimuthErrorRad)), toNed(pole)),
    sigmaDistanceRad: sigmaDistanceRad(
      altitudeErrorRad,
      azimuthErrorRad * across,
      Math.sqrt(axisCovariance[0]),
      Math.sqrt(axisCovariance[3]) * across,
    ),
    parts,
    agreement: chanceOfChiSquared(spread, 2 * (estimates.length - 1)),
  };
}
