// Drift lines, their adjustment and the choice of star against dense linear algebra of ml-matrix and numeric derivatives.
import { inverse, Matrix, solve } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { arcminute, arcsecond, degree } from '../../calibration/angle.ts';
import { adjustDrift, fitDriftLine, type DriftWatch } from '../../calibration/drift/adjustDrift.ts';
import { driftRates, mountDeclination } from '../../calibration/drift/driftModel.ts';
import { rankDriftStars } from '../../calibration/drift/nextStar.ts';
import { starNed } from '../../firmware-proto/virtual/eyepiece.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

/** One turn in a sidereal day of 23 h 56 min 4.0905 s. */
const skyRadPerS = (2 * Math.PI) / 86164.0905;
/** Uneven on purpose, and not from zero on. */
const timesS = [15, 40, 85, 115, 205, 235, 315];

const readingsOf = (northArcsec: readonly number[]): DriftWatch['readings'] =>
  northArcsec.map((north, i) => ({ timeS: timesS[i], starNed: [1, 0, 0], northRad: north * arcsecond }));

describe('the line through the readings of one star', () => {
  const north = [3, 4.5, 4, 7.5, 9, 12, 13];
  const columns = new Matrix(timesS.map((timeS) => [1, timeS]));
  const [[offset], [slope]] = solve(columns, Matrix.columnVector(north)).to2DArray();
  const curvature = inverse(columns.transpose().mmul(columns)).get(1, 1);

  it('is the line of least squares, as sure as one reading over the spread of the times', () => {
    const line = fitDriftLine({ readings: readingsOf(north), sigmaRad: 1.3 * arcsecond });
    expect(line.rateRadPerS / arcsecond).toBeCloseTo(slope, 9);
    expect(line.sigmaRateRadPerS / arcsecond).toBeCloseTo(1.3 * Math.sqrt(curvature), 9);
    expect(line.sigmaRad / arcsecond).toBeCloseTo(1.3, 9);
    expect(line.spanS).toBe(300);
  });

  it.each([
    // the variance of Student's t: n - 2 over n - 4
    [7, 5 / 3],
    [5, 3 / 1],
  ])('without a stated sigma the scatter of %d readings gives it, widened as Student has it', (count, widened) => {
    const some = north.slice(0, count);
    const their = new Matrix(timesS.slice(0, count).map((timeS) => [1, timeS]));
    const off = Matrix.columnVector(some).sub(their.mmul(solve(their, Matrix.columnVector(some))));
    const scatter = off.transpose().mmul(off).get(0, 0) / (count - 2);
    const line = fitDriftLine({ readings: readingsOf(some) });
    expect(line.sigmaRad / arcsecond).toBeCloseTo(Math.sqrt(scatter * widened), 9);
  });

  it('no reading is taken for better than the floor, whatever was stated or scatters', () => {
    const straight = readingsOf(timesS.map((timeS) => offset + slope * timeS));
    expect(fitDriftLine({ readings: straight }).sigmaRad / arcsecond).toBeCloseTo(0.3, 9);
    expect(fitDriftLine({ readings: straight, sigmaRad: 0.1 * arcsecond }).sigmaRad / arcsecond).toBeCloseTo(0.3, 9);
    expect(fitDriftLine({ readings: straight, floorRad: 0.8 * arcsecond }).sigmaRad / arcsecond).toBeCloseTo(0.8, 9);
    expect(fitDriftLine({ readings: straight, sigmaRad: 2 * arcsecond, floorRad: 0 }).sigmaRad / arcsecond).toBe(2);
  });

  it('needs three readings with a sigma, five without, and some time between them', () => {
    expect(() => fitDriftLine({ readings: readingsOf(north.slice(0, 2)), sigmaRad: arcsecond })).toThrow(
      '3 are needed',
    );
    expect(() => fitDriftLine({ readings: readingsOf(north.slice(0, 4)) })).toThrow('5 are needed');
    expect(fitDriftLine({ readings: readingsOf(north.slice(0, 3)), sigmaRad: arcsecond }).spanS).toBe(70);
    const still = readingsOf(north).map((reading) => ({ ...reading, timeS: 60 }));
    expect(() => fitDriftLine({ readings: still, sigmaRad: arcsecond })).toThrow('one instant');
  });
});

describe.each([47, -33.5].map((latitude) => latitude * degree))('drift at latitude %d', (latitudeRad) => {
  const seenAt = (hourAngleDeg: number, declinationDeg: number, timeS = 0) =>
    starNed(latitudeRad, {
      hourAngleRad: hourAngleDeg * degree + skyRadPerS * timeS,
      declinationRad: declinationDeg * degree,
    });
  const stars = [
    [-70, 25],
    [-12, -5],
    [40, 55],
  ] as const;

  it.each(stars)(
    'of a star at hour angle %d, declination %d: the first order is what exact geometry does',
    (hour, dec) => {
      const small = 1e-5;
      const rate = (altitudeErrorRad: number, azimuthErrorRad: number): number => {
        const errors = { altitudeErrorRad, azimuthErrorRad };
        const [before, after] = [-20, 20].map((timeS) =>
          mountDeclination(seenAt(hour, dec, timeS), latitudeRad, errors),
        );
        return (after.declinationRad - before.declinationRad) / 40;
      };
      const { byAltitude, byAzimuth } = driftRates(seenAt(hour, dec), latitudeRad);
      expect(byAltitude / skyRadPerS).toBeCloseTo((rate(small, 0) - rate(-small, 0)) / (2 * small) / skyRadPerS, 5);
      expect(byAzimuth / skyRadPerS).toBeCloseTo((rate(0, small) - rate(0, -small)) / (2 * small) / skyRadPerS, 5);
    },
  );

  it.each(stars)('mount declination of a star at hour angle %d, declination %d has right derivatives', (hour, dec) => {
    const at = (altitudeErrorRad: number, azimuthErrorRad: number) =>
      mountDeclination(seenAt(hour, dec), latitudeRad, { altitudeErrorRad, azimuthErrorRad });
    const [altitude, azimuth, step] = [0.03, -0.05, 1e-5];
    const { byAltitude, byAzimuth } = at(altitude, azimuth);
    const [up, down] = [step, -step].map((change) => at(altitude + change, azimuth).declinationRad);
    const [right, left] = [step, -step].map((change) => at(altitude, azimuth + change).declinationRad);
    expect(byAltitude).toBeCloseTo((up - down) / (2 * step), 7);
    expect(byAzimuth).toBeCloseTo((right - left) / (2 * step), 7);
  });

  const truth = { altitudeErrorRad: 11 * arcminute, azimuthErrorRad: -17 * arcminute };
  const prior = {
    altitudeErrorRad: 5 * arcminute,
    azimuthErrorRad: -30 * arcminute,
    sigmaAltitudeErrorRad: 12 * arcminute,
    sigmaAzimuthErrorRad: 25 * arcminute,
  };
  /** Two stars, unequally long and sure, with readings a little off. */
  const watches = (
    [
      [-70, 25, 2, 7],
      [-12, -5, 3, 5],
    ] as const
  ).map(([hour, dec, sigma, count], star): DriftWatch => {
    const random = new Random(star + 4);
    const first = mountDeclination(seenAt(hour, dec), latitudeRad, truth).declinationRad;
    return {
      sigmaRad: sigma * arcsecond,
      readings: timesS.slice(0, count).map((timeS) => {
        const seen = seenAt(hour, dec, timeS);
        const moved = mountDeclination(seen, latitudeRad, truth).declinationRad - first;
        return { timeS, starNed: seen, northRad: moved + 40 * star * arcsecond + sigma * arcsecond * random.normal() };
      }),
    };
  });

  it('two stars: the errors are where the weighted squares are least, and the covariance is their curvature', () => {
    const fit = adjustDrift(watches, latitudeRad, prior);
    const predicted = (unknown: readonly number[]): number[] =>
      watches.flatMap(({ readings }, star) => {
        const errors = { altitudeErrorRad: unknown[0], azimuthErrorRad: unknown[1] };
        return readings.map(
          (reading) => mountDeclination(reading.starNed, latitudeRad, errors).declinationRad - unknown[2 + star],
        );
      });
    const read = watches.flatMap(({ readings }) => readings.map(({ northRad }) => northRad));
    const weight = Matrix.diag(watches.flatMap(({ readings, sigmaRad }) => readings.map(() => 1 / sigmaRad! ** 2)));
    const mean = [prior.altitudeErrorRad, prior.azimuthErrorRad];
    // where the stars stood is not known at all: a sigma of a radian
    const known = Matrix.diag(
      [prior.sigmaAltitudeErrorRad, prior.sigmaAzimuthErrorRad, 1, 1].map((one) => 1 / one ** 2),
    );
    let at = [
      ...mean,
      ...watches.map(({ readings }) => mountDeclination(readings[0].starNed, latitudeRad, truth).declinationRad),
    ];
    const start = [...at];
    let covariance = known;
    for (let turn = 0; turn < 5; turn += 1) {
      const step = 1e-5;
      const jacobian = new Matrix(
        at.map((_, j) => {
          const [more, less] = [step, -step].map((change) =>
            predicted(at.map((value, k) => value + (k === j ? change : 0))),
          );
          return more.map((value, i) => (value - less[i]) / (2 * step));
        }),
      ).transpose();
      covariance = inverse(jacobian.transpose().mmul(weight).mmul(jacobian).add(known));
      const now = predicted(at);
      const off = Matrix.columnVector(read.map((value, i) => value - now[i]));
      const back = Matrix.columnVector(start.map((value, j) => value - at[j]));
      const change = covariance.mmul(jacobian.transpose().mmul(weight).mmul(off).add(known.mmul(back))).to1DArray();
      at = at.map((value, j) => value + change[j]);
    }
    const sigmas = covariance.diagonal().map(Math.sqrt);
    expect((fit.altitudeErrorRad - at[0]) / sigmas[0]).toBeCloseTo(0, 2);
    expect((fit.azimuthErrorRad - at[1]) / sigmas[1]).toBeCloseTo(0, 2);
    fit.axisCovariance.forEach((value, i) => {
      const [j, k] = [i >> 1, i & 1];
      expect(value / (sigmas[j] * sigmas[k])).toBeCloseTo(covariance.get(j, k) / (sigmas[j] * sigmas[k]), 3);
    });
    const now = predicted(at);
    const squares = read.reduce((sum, value, i) => sum + weight.get(i, i) * (value - now[i]) ** 2, 0);
    expect(fit.chiSquared).toBeCloseTo(squares, 2);
    expect(fit.degreesOfFreedom).toBe(7 + 5 - 2);
    expect(fit.lines.map(({ spanS }) => spanS)).toEqual([300, 190]);
  });

  it('the next star is ranked by what its watch would leave unknown on the sky', () => {
    const [aa, ax, xx] = [40, -25, 90].map((squared) => squared * arcminute ** 2);
    const seen = [...stars, [0.5, 10] as const, [-91, 3] as const].map(([hour, dec]) => seenAt(hour, dec));
    const sigmaRate = 0.004 * arcsecond;
    const ranked = rankDriftStars([aa, ax, ax, xx], latitudeRad, seen, sigmaRate);
    for (const { index, sigmaAfterRad } of ranked) {
      const { byAltitude, byAzimuth } = driftRates(seen[index], latitudeRad);
      const row = Matrix.rowVector([byAltitude, byAzimuth]).div(sigmaRate);
      const before = new Matrix([
        [aa, ax],
        [ax, xx],
      ]);
      const left = inverse(inverse(before).add(row.transpose().mmul(row)));
      const onSky = Math.sqrt(left.get(0, 0) + left.get(1, 1) * Math.cos(latitudeRad) ** 2);
      expect(sigmaAfterRad / onSky).toBeCloseTo(1, 6);
    }
    const inOrder = ranked.map(({ sigmaAfterRad }) => sigmaAfterRad);
    expect(inOrder).toEqual([...inOrder].sort((a, b) => a - b));
    const tells = new Map(ranked.map(({ index, tells: what }) => [index, what]));
    // at the meridian the azimuth, a quarter turn from it the altitude, in between both
    expect([0, 1, 2, 3, 4].map((index) => tells.get(index))).toEqual([
      'altitude',
      'azimuth',
      'both',
      'azimuth',
      'altitude',
    ]);
  });
});
