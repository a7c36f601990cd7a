import { arcminute } from './angle.ts';
import { chanceOfChiSquared } from './chance.ts';
import { sigmaDistanceRad } from './live/distance.ts';
import { angleBetweenRad } from './vector.ts';
import { axisWithErrors, toNed, truePole } from './polarAxis.ts';
import { determinant2, inverse2, product2, type Matrix2 } from './matrix2.ts';

/** One measurement of the polar axis made tonight. */
export interface AxisEstimate {
  kind: 'compass' | 'sights' | 'drift' | 'sun';
  utcMs: number;
  altitudeErrorRad: number;
  azimuthErrorRad: number;
  /** Row-major 2 x 2 of altitude and azimuth error; a component that was not measured has a very large variance. */
  axisCovariance: readonly [number, number, number, number];
  /** How far the bolts have moved the axis since, by the needles before and after each nudge; absent: untouched. */
  movedSince?: MovedSince;
}

export interface MovedSince {
  altitudeRad: number;
  azimuthRad: number;
  /** How many times the variance of one nudge this was read with, `nudgesRead`. */
  nudges: number;
  /** Of the shifts that were read by something surer than the needles, row-major 2 x 2; absent: none was. */
  covariance?: readonly [number, number, number, number];
}

/** How an estimate loses worth: the needles carry a nudge within a hundredth and a step of their own, and a tripod settles. */
const carriedShare = 0.01;
/** Of one nudge, a rest before and after: 0.35' and 2.5' rms in 240 nudges of a typical board (80 virtual nights), with a margin for other boards. */
export const needleStepRad = { altitude: 0.5 * arcminute, azimuth: 3 * arcminute } as const;
/** The same as the covariance of a shift, row-major 2 x 2 of altitude and azimuth. */
export const needleStepCovariance = [needleStepRad.altitude ** 2, 0, 0, needleStepRad.azimuth ** 2] as const;
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

const untouched: MovedSince = { altitudeRad: 0, azimuthRad: 0, nudges: 0 };

/** The bias of a chip wanders with about this time, so that readings closer together share their error, seconds. */
const wanderS = 30;

/**
 * By how much one more nudge raises `MovedSince.nudges`: a whole one, unless it began with nearly the reading that the nudge before
 * ended with, whose error then cancels.
 * @param restedS between the last reading of the nudge before and the first of this one
 */
export const nudgesRead = (restedS: number): number => 1 - Math.exp(-Math.max(restedS, 0) / wanderS);

const sum = (m: Matrix2, n: Matrix2): Matrix2 => [m[0] + n[0], m[1] + n[1], m[2] + n[2], m[3] + n[3]];

/** What carrying the axis from `from` to `to` adds to its covariance. */
function carrying(from: MovedSince, to: MovedSince, elapsedMs: number, latitudeRad: number): Matrix2 {
  const settled = (settlingPerHour ** 2 * Math.max(elapsedMs, 0)) / 3_600_000;
  const nudges = Math.max(from.nudges - to.nudges, 0);
  const altitude = carriedShare * (from.altitudeRad - to.altitudeRad);
  const azimuth = carriedShare * (from.azimuthRad - to.azimuthRad);
  const [own, before] = [from.covariance ?? [0, 0, 0, 0], to.covariance ?? [0, 0, 0, 0]];
  const between = own[1] - before[1];
  return [
    settled + nudges * needleStepRad.altitude ** 2 + altitude ** 2 + own[0] - before[0],
    between,
    between,
    settled / Math.cos(latitudeRad) ** 2 + nudges * needleStepRad.azimuth ** 2 + azimuth ** 2 + own[3] - before[3],
  ];
}

/**
 * Everything that was measured as one estimate: a Kalman filter of a resting axis (R. E. Kalman, 1960, J. Basic Eng. 82), oldest
 * first, carried over the nudges from each measurement to the next and to `nowMs`. What a nudge was misread by is so shared by all
 * that was measured before it. Throws RangeError when there is none.
 */
export function answerOf(estimates: readonly AxisEstimate[], latitudeRad: number, nowMs: number): Answer {
  if (estimates.length === 0) throw new RangeError('answer: nothing was measured');
  const order = estimates.map((_, index) => index).sort((a, b) => estimates[a].utcMs - estimates[b].utcMs);
  const movedSince = ({ movedSince: moved }: AxisEstimate): MovedSince => moved ?? untouched;
  const weights: Matrix2[] = estimates.map(() => [0, 0, 0, 0]);
  let covariance: Matrix2 = [0, 0, 0, 0];
  let [altitudeErrorRad, azimuthErrorRad] = [0, 0];
  let spread = 0;
  order.forEach((index, i) => {
    const estimate = estimates[index];
    const moved = movedSince(estimate);
    const measured = [estimate.altitudeErrorRad + moved.altitudeRad, estimate.azimuthErrorRad + moved.azimuthRad];
    let gain: Matrix2 = [1, 0, 0, 1];
    if (i > 0) {
      const before = estimates[order[i - 1]];
      const carried = carrying(movedSince(before), moved, estimate.utcMs - before.utcMs, latitudeRad);
      covariance = sum(covariance, carried);
      const both = sum(covariance, estimate.axisCovariance);
      if (!(determinant2(both) > 0)) throw new RangeError('answer: a covariance is not positive definite');
      const innovation = inverse2(both);
      gain = product2(covariance, innovation);
      const [altitude, azimuth] = [measured[0] - altitudeErrorRad, measured[1] - azimuthErrorRad];
      const [a, b, c, d] = innovation;
      spread += a * altitude ** 2 + (b + c) * altitude * azimuth + d * azimuth ** 2;
    }
    const kept: Matrix2 = [1 - gain[0], -gain[1], -gain[2], 1 - gain[3]];
    weights.forEach((weight, j) => (weights[j] = product2(kept, weight)));
    weights[index] = gain;
    [altitudeErrorRad, azimuthErrorRad] = [
      kept[0] * altitudeErrorRad + kept[1] * azimuthErrorRad + gain[0] * measured[0] + gain[1] * measured[1],
      kept[2] * altitudeErrorRad + kept[3] * azimuthErrorRad + gain[2] * measured[0] + gain[3] * measured[1],
    ];
    covariance = product2(gain, estimate.axisCovariance);
  });
  const last = estimates[order[order.length - 1]];
  const [aa, ax, xa, xx] = sum(covariance, carrying(movedSince(last), untouched, nowMs - last.utcMs, latitudeRad));
  const axisCovariance: Matrix2 = [aa, (ax + xa) / 2, (ax + xa) / 2, xx];
  const parts = estimates.map((estimate, index): AnswerPart => ({
    kind: estimate.kind,
    ageS: Math.max(nowMs - estimate.utcMs, 0) / 1000,
    altitudeWeight: weights[index][0],
    azimuthWeight: weights[index][3],
    altitudeErrorRad: estimate.altitudeErrorRad + movedSince(estimate).altitudeRad,
    azimuthErrorRad: estimate.azimuthErrorRad + movedSince(estimate).azimuthRad,
  }));
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
