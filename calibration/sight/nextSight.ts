import { altitudeError, azimuthError, predictedRoll, unknownCount, type Sight } from './sightModel.ts';

/** A star that can be seen now, on the side that it would be taken. */
export type Candidate = Pick<Sight, 'starNed' | 'side' | 'sigmaRad'>;

export interface Expectation {
  /** Index into the candidates. */
  index: number;
  /** Root of the mean square distance on the sky that would stay unknown after this sight alone, radians. */
  sigmaAfterRad: number;
  /** The same after the best one that could follow it. */
  sigmaAfterNextRad: number;
}

/** Root of the mean square distance on the sky between the axis and its estimate, radians. */
export function skySigma(covariance: ArrayLike<number>, unknowns: number, axisAltitudeRad: number): number {
  const azimuth = covariance[azimuthError * unknowns + azimuthError] * Math.cos(axisAltitudeRad) ** 2;
  return Math.sqrt(covariance[altitudeError * unknowns + altitudeError] + azimuth);
}

/**
 * Ranks the candidates by how far one more sight, and the best one after it, would shrink what is not known of the
 * axis (expected covariance, A-optimal): looking two ahead finds pairs of which neither helps alone.
 * @param covariance row-major of all unknowns so far (`SightAdjustment.covariance`, or the prior's)
 */
export function rankNext(
  covariance: ArrayLike<number>,
  estimate: ArrayLike<number>,
  latitudeRad: number,
  candidates: readonly Candidate[],
): Expectation[] {
  const squaredCos = Math.cos(latitudeRad) ** 2;
  const rows = candidates.map((candidate) => {
    const row = new Float64Array(unknownCount);
    predictedRoll(candidate, latitudeRad, estimate, row);
    for (let j = 0; j < unknownCount; j += 1) row[j] /= candidate.sigmaRad;
    return row;
  });
  const skyVariance = (c: ArrayLike<number>): number => c[0] + c[unknownCount + 1] * squaredCos;

  /** Variance on the sky that `row` takes away from `c`, and the gain vector. */
  const taken = (c: ArrayLike<number>, row: Float64Array) => {
    const gain = new Float64Array(unknownCount);
    let innovation = 1;
    for (let j = 0; j < unknownCount; j += 1) {
      let sum = 0;
      for (let k = 0; k < unknownCount; k += 1) sum += c[j * unknownCount + k] * row[k];
      gain[j] = sum;
      innovation += row[j] * sum;
    }
    return { variance: (gain[0] ** 2 + squaredCos * gain[1] ** 2) / innovation, gain, innovation };
  };

  return rows
    .map((row, index) => {
      const { variance, gain, innovation } = taken(covariance, row);
      const after = Float64Array.from(
        { length: unknownCount * unknownCount },
        (_, jk) => covariance[jk] - (gain[Math.floor(jk / unknownCount)] * gain[jk % unknownCount]) / innovation,
      );
      const left = skyVariance(covariance) - variance;
      const next = rows.reduce((best, other) => Math.max(best, taken(after, other).variance), 0);
      return { index, sigmaAfterRad: Math.sqrt(left), sigmaAfterNextRad: Math.sqrt(Math.max(left - next, 0)) };
    })
    .sort((a, b) => a.sigmaAfterNextRad - b.sigmaAfterNextRad || a.sigmaAfterRad - b.sigmaAfterRad);
}

/** Less than this much off what is not known is not worth another star. */
const worthwhileGain = 0.05;

/** Whether the best further sight, with one more after it, still shrinks the band by more than `worthwhileGain` each. */
export const stillHelps = (sigmaNowRad: number, best: Pick<Expectation, 'sigmaAfterNextRad'> | undefined): boolean =>
  best !== undefined && best.sigmaAfterNextRad < sigmaNowRad * (1 - worthwhileGain) ** 2;
