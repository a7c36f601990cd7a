// The adjustment of sights against dense linear algebra: numeric derivatives, normal equations and Gaussian densities of ml-matrix.
import { determinant, inverse, Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { adjustSights } from '../../calibration/sight/adjustSights.ts';
import { rankNext, skySigma, stillHelps } from '../../calibration/sight/nextSight.ts';
import { predictedRoll, unknownCount, type Sight } from '../../calibration/sight/sightModel.ts';
import { firstCovariance, sigmaOfLevel, sigmaOfSight, sigmaRoundRad } from '../../calibration/sight/sightPrior.ts';
import { surpriseOf } from '../../calibration/sight/surprise.ts';
import { starNed } from '../../firmware-proto/virtual/eyepiece.ts';
import { prior, sightsAt, truth } from './sightSets.ts';

type SightSlip = NonNullable<Parameters<typeof adjustSights>[3]>;

const latitudes = [47, -33.5].map((latitude) => latitude * degree);

interface Linear {
  /** Predictions of all that was read, at unknowns: the seven, then two of a shift, then one of the levels. */
  predicted: (unknown: readonly number[]) => number[];
  read: number[];
  sigma: number[];
  mean: number[];
  priorSigma: number[];
}

/** All that was read as one list, as the docstrings of sight and slip have it. */
function linearOf(sights: readonly Sight[], latitudeRad: number, { movedFrom = Infinity, leftOut }: SightSlip): Linear {
  const hasMoved = movedFrom < sights.length;
  const told = sights.map((sight, i) => ({ ...sight, i })).filter(({ i }) => i !== leftOut);
  const levelled = sights.flatMap(({ level, moved }, i) => (level ? [{ ...level, moved, i }] : []));
  const at = (unknown: readonly number[], i: number): number[] =>
    unknown
      .slice(0, unknownCount)
      .map((value, j) => value + (hasMoved && i >= movedFrom && j < 2 ? unknown[7 + j] : 0));
  return {
    predicted: (unknown) => [
      ...told.map((sight) => predictedRoll(sight, latitudeRad, at(unknown, sight.i))),
      ...levelled.map(
        ({ i, moved }) => Math.abs(latitudeRad) + at(unknown, i)[0] + (moved?.altitudeRad ?? 0) + unknown.at(-1)!,
      ),
    ],
    read: [...told.map(({ rollRad }) => rollRad), ...levelled.map(({ altitudeRad }) => altitudeRad)],
    sigma: [...told, ...levelled].map(({ sigmaRad }) => sigmaRad),
    mean: [0.2 * degree, -0.3 * degree, 1.1, 0, 0, 0, 0, ...(hasMoved ? [0, 0] : []), 0],
    priorSigma: [
      ...[0.3 * degree, 0.7 * degree, 0.4 * degree, 12 * arcminute, 7 * arcminute, 3 * arcminute, 3 * arcminute],
      ...(hasMoved ? [1.5 * degree, (1.5 * degree) / Math.cos(latitudeRad)] : []),
      degree,
    ],
  };
}

/** Derivatives by central differences, readings x unknowns. */
function jacobianOf({ predicted, mean }: Linear, at: readonly number[]): Matrix {
  const step = 1e-6;
  const columns = mean.map((_, j) => {
    const [more, less] = [step, -step].map((change) => predicted(at.map((value, k) => value + (k === j ? change : 0))));
    return more.map((value, i) => (value - less[i]) / (2 * step));
  });
  return new Matrix(columns).transpose();
}

describe.each(latitudes)('sights at latitude %d', (latitudeRad) => {
  const sights = sightsAt(latitudeRad);

  it.each([
    ['as they are', {}],
    ['with a shift before the third', { movedFrom: 2 }],
    ['without the second', { leftOut: 1 }],
    ['without the fourth, with a shift before the second', { leftOut: 3, movedFrom: 1 }],
  ] as const)(
    '%s: the estimate is where the weighted squares are least, and the covariance their curvature',
    (_, slip) => {
      const linear = linearOf(sights, latitudeRad, slip);
      const fit = adjustSights(sights, latitudeRad, prior, slip);
      const inverseOf = (sigmas: readonly number[]): Matrix => Matrix.diag(sigmas.map((one) => 1 / one ** 2));
      // a few steps of Gauss and Newton from the truth
      let at = [...truth, ...linear.mean.slice(unknownCount)];
      let covariance = new Matrix(0, 0);
      for (let turn = 0; turn < 6; turn += 1) {
        const jacobian = jacobianOf(linear, at);
        const weight = inverseOf(linear.sigma);
        covariance = inverse(jacobian.transpose().mmul(weight).mmul(jacobian).add(inverseOf(linear.priorSigma)));
        const predicted = linear.predicted(at);
        const off = Matrix.columnVector(linear.read.map((value, i) => value - predicted[i]));
        const back = Matrix.columnVector(linear.mean.map((value, j) => value - at[j]));
        const pull = jacobian.transpose().mmul(weight).mmul(off).add(inverseOf(linear.priorSigma).mmul(back));
        const step = covariance.mmul(pull).to1DArray();
        at = at.map((value, j) => value + step[j]);
      }
      // what holds since the shift
      const hasMoved = 'movedFrom' in slip;
      const since = Matrix.eye(unknownCount, at.length);
      if (hasMoved) [0, 1].forEach((j) => since.set(j, 7 + j, 1));
      const [estimate, known] = [since.mmul(Matrix.columnVector(at)), since.mmul(covariance).mmul(since.transpose())];
      const sigmas = known.diagonal().map(Math.sqrt);
      for (let j = 0; j < unknownCount; j += 1) {
        expect((fit.estimate[j] - estimate.get(j, 0)) / sigmas[j]).toBeCloseTo(0, 3);
        for (let k = 0; k < unknownCount; k += 1)
          expect(fit.covariance[j * unknownCount + k] / (sigmas[j] * sigmas[k])).toBeCloseTo(
            known.get(j, k) / (sigmas[j] * sigmas[k]),
            4,
          );
      }
      expect([fit.altitudeErrorRad, fit.azimuthErrorRad]).toEqual([fit.estimate[0], fit.estimate[1]]);
      expect(fit.axisCovariance).toEqual([0, 1, 7, 8].map((i) => fit.covariance[i]));

      const predicted = linear.predicted(at);
      const residuals = linear.read.map((value, i) => value - predicted[i]);
      const rolls = sights.length - ('leftOut' in slip ? 1 : 0);
      expect(fit.residualRad).toHaveLength(rolls);
      expect(fit.normalisedResidual).toHaveLength(rolls);
      fit.residualRad.forEach((residual, i) =>
        expect(residual / linear.sigma[i]).toBeCloseTo(residuals[i] / linear.sigma[i], 3),
      );
      const pulls = linear.mean.map((value, j) => (at[j] - value) / linear.priorSigma[j]);
      const squares = [...residuals.map((one, i) => one / linear.sigma[i]), ...pulls].reduce(
        (sum, z) => sum + z * z,
        0,
      );
      expect(fit.chiSquared).toBeCloseTo(squares, 3);
      expect(fit.degreesOfFreedom).toBe(rolls + 3 - 1 - (hasMoved ? 2 : 0));

      // -2 ln of the normal density of all readings, whatever the unknowns: mean J m, covariance J P J' + R
      const jacobian = jacobianOf(linear, at);
      const spread = jacobian
        .mmul(Matrix.diag(linear.priorSigma.map((one) => one ** 2)))
        .mmul(jacobian.transpose())
        .add(Matrix.diag(linear.sigma.map((one) => one ** 2)));
      const back = Matrix.columnVector(linear.mean.map((value, j) => value - at[j]));
      const expected = Matrix.columnVector(predicted).add(jacobian.mmul(back));
      const off = Matrix.columnVector(linear.read).sub(expected);
      const scaled = spread.clone().mul(1 / arcminute ** 2);
      const logDeterminant =
        Math.log(determinant(scaled)) + linear.read.length * Math.log(2 * Math.PI * arcminute ** 2);
      expect(fit.surprise).toBeCloseTo(off.transpose().mmul(inverse(spread)).mmul(off).get(0, 0) + logDeterminant, 1);
      expect(fit.converged).toBe(true);
    },
  );

  it('the next star is ranked by what an adjustment with it would leave, and with the best after it', () => {
    const fit = adjustSights(sights, latitudeRad, prior);
    const candidates = [
      [-80, 10, 'west', 4],
      [25, 30, 'east', 5],
      [60, -20, 'east', 9],
      [-5, 60, 'west', 6],
    ].map(([hourAngle, declination, side, sigma]) => ({
      starNed: starNed(latitudeRad, {
        hourAngleRad: (hourAngle as number) * degree,
        declinationRad: (declination as number) * degree,
      }),
      side: side as Sight['side'],
      sigmaRad: (sigma as number) * arcminute,
    }));
    const rows = candidates.map((candidate) => {
      const row = new Float64Array(unknownCount);
      predictedRoll(candidate, latitudeRad, fit.estimate, row);
      return Matrix.rowVector(row).div(candidate.sigmaRad);
    });
    const before = Matrix.from1DArray(unknownCount, unknownCount, [...fit.covariance]);
    const onSky = (covariance: Matrix): number =>
      Math.sqrt(covariance.get(0, 0) + covariance.get(1, 1) * Math.cos(latitudeRad) ** 2);
    const after = (...indices: number[]): number =>
      onSky(inverse(indices.reduce((sum, i) => sum.add(rows[i].transpose().mmul(rows[i])), inverse(before))));
    const ranked = rankNext(fit.covariance, fit.estimate, latitudeRad, candidates);
    for (const { index, sigmaAfterRad, sigmaAfterNextRad } of ranked) {
      expect(sigmaAfterRad / after(index)).toBeCloseTo(1, 6);
      expect(sigmaAfterNextRad / Math.min(...rows.map((_, next) => after(index, next)))).toBeCloseTo(1, 6);
    }
    expect(ranked.map(({ index }) => index).sort()).toEqual([0, 1, 2, 3]);
    const inOrder = ranked.map(({ sigmaAfterNextRad }) => sigmaAfterNextRad);
    expect(inOrder).toEqual([...inOrder].sort((a, b) => a - b));
    expect(skySigma(fit.covariance, unknownCount, latitudeRad)).toBeCloseTo(onSky(before), 12);
  });
});

describe('how likely readings are', () => {
  it('counts the squares, what was expected of each unknown, what is left of it, and the readings', () => {
    const covariance = [4, 1.5, -0.7, 1.5, 9, 2.1, -0.7, 2.1, 3];
    const expected =
      5.5 +
      2 * Math.log(3 * 4 * 7) -
      Math.log(determinant(Matrix.from1DArray(3, 3, covariance))) +
      2 * Math.log(2 * Math.PI * 0.3 * 0.8);
    const surprise = surpriseOf(5.5, Float64Array.of(3, 4, 7), Float64Array.from(covariance), [0.3, 0.8]);
    expect(surprise).toBeCloseTo(expected, 12);
  });

  it.each([
    ['no spread at all', [0, 0, 0, 1]],
    ['more in common than each has', [1, 2, 2, 1]],
  ])('refuses a covariance of %s', (_, covariance) => {
    const read = () => surpriseOf(1, Float64Array.of(1, 1), Float64Array.from(covariance), [1]);
    expect(read).toThrow('not positive definite');
  });
});

describe('what sights start from', () => {
  it('a sight is as sure as centring, clock and gravity together, each as roll', () => {
    const sigmas = { centringRad: 2 * arcminute, clockS: 3, gravityRad: 0.5 * arcminute };
    // the sky turns by 15.041 arcseconds a second; the pole stands 60 degrees high, the star at 40 degrees of declination
    expect(sigmaOfSight(sigmas, 40 * degree, 60 * degree) / arcminute).toBeCloseTo(
      Math.hypot(2 / 0.766044, (3 * 15.041) / 60, 0.5 / 0.5),
      5,
    );
    expect(sigmaOfLevel(sigmas, 0.3 * arcminute, 0.7 * arcminute) / arcminute).toBeCloseTo(
      Math.hypot(0.5, 0.3, 0.7),
      9,
    );
    expect(sigmaRoundRad(0.3, 0.7, 60 * degree)).toBeCloseTo(Math.hypot(0.6, 0.7 * Math.sqrt(3)), 9);
  });

  it('the covariance before the first has what is known of each unknown, and no more', () => {
    const covariance = firstCovariance({ ...prior, rollZero: undefined });
    const sigmas = [0.3 * degree, 0.7 * degree, Math.PI, 12 * arcminute, 7 * arcminute, 3 * arcminute, 3 * arcminute];
    for (let j = 0; j < unknownCount; j += 1)
      for (let k = 0; k < unknownCount; k += 1)
        expect(covariance[j * unknownCount + k]).toBeCloseTo(j === k ? sigmas[j] ** 2 : 0, 12);
    expect(firstCovariance(prior)[2 * unknownCount + 2]).toBeCloseTo((0.4 * degree) ** 2, 12);
  });

  it('a roll zero of which nothing is known is taken where most sights agree, through one that is far off', () => {
    const latitudeRad = latitudes[0];
    const sights = sightsAt(latitudeRad).map((sight) => ({ ...sight, level: undefined }));
    const loose = { ...prior, rollZero: undefined };
    const good = adjustSights(sights, latitudeRad, loose);
    expect((good.estimate[2] - truth[2]) / degree).toBeCloseTo(0, 0);
    expect(good.degreesOfFreedom).toBe(4);
    const sigmas = [0.3 * degree, 0.7 * degree, Infinity, 12 * arcminute, 7 * arcminute, 3 * arcminute, 3 * arcminute];
    const pulls = [0.2 * degree, -0.3 * degree, 0, 0, 0, 0, 0].map((mean, j) => (good.estimate[j] - mean) / sigmas[j]);
    const squares = [...good.residualRad.map((one, i) => one / sights[i].sigmaRad), ...pulls].map((one) => one ** 2);
    expect(good.chiSquared).toBeCloseTo(
      squares.reduce((sum, one) => sum + one, 0),
      9,
    );
    const spoiled = sights.with(0, { ...sights[0], rollRad: sights[0].rollRad + 2.5 });
    const without = adjustSights(spoiled, latitudeRad, loose, { leftOut: 0 });
    const clean = adjustSights(sights, latitudeRad, loose, { leftOut: 0 });
    expect(without.azimuthErrorRad).toBeCloseTo(clean.azimuthErrorRad, 6);
    expect(without.estimate[2]).toBeCloseTo(clean.estimate[2], 6);
  });

  it('a further star helps while it and the one after take a twentieth each off what is not known', () => {
    expect(stillHelps(1, undefined)).toBe(false);
    expect(stillHelps(2, { sigmaAfterNextRad: 2 * 0.951 * 0.95 })).toBe(false);
    expect(stillHelps(2, { sigmaAfterNextRad: 2 * 0.949 * 0.95 })).toBe(true);
  });
});
