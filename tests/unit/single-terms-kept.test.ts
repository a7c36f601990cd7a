import { describe, expect, it } from 'vitest';
import { arcminute, arcsecond } from '../../calibration/angle.ts';
import { Anchoring } from '../../calibration/live/anchoring.ts';
import { emptyReading } from '../../calibration/live/attitude.ts';
import { LiveEstimator } from '../../calibration/live/estimator.ts';
import { truePole, type PolarErrors } from '../../calibration/polarAxis.ts';
import { driftRates } from '../../calibration/drift/driftModel.ts';
import { rankDriftStars } from '../../calibration/drift/nextStar.ts';
import { growthWithSpacer } from '../../calibration/standoff/fallOff.ts';
import { noCounts } from '../../host/link/counters.ts';
import { SampleClock } from '../../host/link/unwrap.ts';
import { madeUtc } from '../../host/site/clock.ts';
import { judgeNight } from '../../host/steps/sights.ts';
import { readingFloorRad } from '../../host/steps/readingUnit.ts';
import { requireStar } from '../../host/sky/stars.ts';
import { plainAxisModel } from './plainAxisModel.ts';

/** One term of one formula at a time, worked out by hand from unequal numbers. */
describe('single terms', () => {
  it('needles that carry on a measurement: its sigma, their noise, the wander of then and now, the turn, a share of the motion', () => {
    const known = {
      altitudeErrorRad: 4 * arcminute,
      azimuthErrorRad: -9 * arcminute,
      sigmaAltitudeErrorRad: 1.1 * arcminute,
      sigmaAzimuthErrorRad: 2.3 * arcminute,
    };
    const measured: PolarErrors = { altitudeErrorRad: 0.01, azimuthErrorRad: -0.02, distanceRad: NaN };
    const noise = { altitudeRad: 0.4 * arcminute, azimuthRad: 0.9 * arcminute };
    const anchoring = new Anchoring(known, measured, { ...emptyReading(), upX: 0, upY: 0, upZ: 1 }, noise);
    const model = { ...plainAxisModel, sigmaAltitudeRad: 5 * arcminute, sigmaMagneticAzimuthRad: 22 * arcminute };
    const after: PolarErrors = { altitudeErrorRad: 0.04, azimuthErrorRad: -0.09, distanceRad: NaN };
    // turned by the chord from straight up to (0.6, 0, 0.8)
    anchoring.carry(after, { ...emptyReading(), upX: 0.6, upY: 0, upZ: 0.8 }, model, truePole(0.8));
    const turned = Math.hypot(0.6, 0.2);
    expect(after.altitudeErrorRad).toBeCloseTo(4 * arcminute + 0.03, 12);
    expect(after.azimuthErrorRad).toBeCloseTo(-9 * arcminute - 0.07, 12);
    const wander = Math.SQRT2 * arcminute;
    expect(anchoring.sigmaAltitudeRad).toBeCloseTo(
      Math.hypot(1.1 * arcminute, 0.4 * arcminute, 0.25 * wander, turned * 5 * arcminute, 0.01 * 0.03),
      12,
    );
    expect(anchoring.sigmaAzimuthRad).toBeCloseTo(
      Math.hypot(2.3 * arcminute, 0.9 * arcminute, 1.5 * wander, turned * 22 * arcminute, 0.01 * 0.07),
      12,
    );
  });

  it('a blow outside 0.7 to 1.3 g is skipped, less is not', () => {
    const isTaken = (gravityG: number): boolean => {
      const estimator = new LiveEstimator(plainAxisModel, {
        pole: truePole(0.8),
        variationRad: 0,
        sigmaVariationRad: 0.01,
      });
      const fieldNt = [20_000, 3000, -45_000] as const;
      return estimator.offer({ accelG: [0.6 * gravityG, 0, 0.8 * gravityG], fieldNt, boardS: 1 }) !== undefined;
    };
    expect([0.68, 0.72, 1.28, 1.32].map(isTaken)).toEqual([false, true, true, false]);
  });

  it('iron below the board: the change for each metre between the longest spacers over that between the shortest', () => {
    const at = (spacerM: number, fieldNt: number) => ({ spacerM, fieldNt: [fieldNt, 0, 0] as const, sigmaFieldNt: 3 });
    // 300 nT in 10 mm, then 900 nT in 50 mm, then 2400 nT in 40 mm
    const readings = [at(0.01, 300), at(0.1, 3600), at(0, 0), at(0.06, 1200)];
    expect(growthWithSpacer(readings)).toBeCloseTo(2400 / 0.04 / (300 / 0.01), 9);
    // a near change below its own sigma counts as that sigma: 3 nT twice, in 10 mm
    const flat = [at(0, 0), at(0.01, 1), at(0.05, 901)];
    expect(growthWithSpacer(flat)).toBeCloseTo(900 / 0.04 / (Math.hypot(3, 3) / 0.01), 9);
    // a change that grows by less than five sigmas of both may be noise
    const near = Math.hypot(3, 3) / 0.01;
    const far = Math.hypot(3, 3) / 0.04;
    const grownBy = (sigmas: number) => [
      at(0, 0),
      at(0.01, 100),
      at(0.05, 100 + 0.04 * (10_000 + sigmas * Math.hypot(near, far))),
    ];
    expect(growthWithSpacer(grownBy(4.9))).toBeUndefined();
    expect(growthWithSpacer(grownBy(5.1))).toBeGreaterThan(1);
  });

  it('a line that lies back by up to eight samples is late; one further back contradicts the others', () => {
    const countsOf = (back: number) => {
      const counters = noCounts();
      const clock = new SampleClock(counters);
      for (let n = 0; n < 50; n += 1) clock.accept(n, n * 10_000, n / 100);
      clock.accept(49 - back, (49 - back) * 10_000, 0.5);
      clock.accept(50, 500_000, 0.5);
      return { reordered: counters.reordered, implausible: counters.implausible };
    };
    expect(countsOf(8)).toEqual({ reordered: 1, implausible: 0 });
    expect(countsOf(9)).toEqual({ reordered: 0, implausible: 1 });
  });

  it('an eye reads a fifth of a division and a fiftieth of a field, and never better than the seeing', () => {
    expect(readingFloorRad(12 * arcsecond)).toBeCloseTo(Math.hypot(1.5, 12 / 5) * arcsecond, 12);
    expect(readingFloorRad(40 * arcminute)).toBeCloseTo(Math.hypot(1.5, (40 * 60) / 50) * arcsecond, 12);
  });

  it('a sight that is dated before the program was made is refused, one of that very instant is not', () => {
    const site = { latitudeRad: 0.82, longitudeRad: 0.3, elevationM: 0 };
    const judgedAt = (utc: Date) => () =>
      judgeNight([{ star: requireStar('capella'), side: 'west', utc, rollRad: 0.1 }], site, utc);
    expect(judgedAt(new Date(madeUtc.getTime() - 1))).toThrow(/before this program was made/);
    expect(judgedAt(madeUtc)).not.toThrow();
  });

  it('the star to watch next is the one after which least is unknown on the sky, by both variances and what they share', () => {
    const latitudeRad = 0.8;
    const [aa, ax, xx] = [4e-6, -2.5e-6, 9e-6];
    const stars = [
      [0.9, 0.1, -Math.sqrt(1 - 0.81 - 0.01)],
      [-0.2, 0.7, -Math.sqrt(1 - 0.04 - 0.49)],
      [0.3, -0.5, -Math.sqrt(1 - 0.09 - 0.25)],
    ] as const;
    const sigma = 2e-8;
    // the same in the form of information: the inverse of the covariance, and what the rate adds to it
    const left = stars.map((star) => {
      const { byAltitude: h, byAzimuth: k } = driftRates(star, latitudeRad);
      const det = aa * xx - ax * ax;
      const [p, q, r] = [xx / det + (h / sigma) ** 2, -ax / det + (h * k) / sigma ** 2, aa / det + (k / sigma) ** 2];
      const after = p * r - q * q;
      return Math.sqrt(r / after + (p / after) * Math.cos(latitudeRad) ** 2);
    });
    const ranked = rankDriftStars([aa, ax, ax, xx], latitudeRad, stars, sigma);
    expect(ranked.map(({ sigmaAfterRad }) => sigmaAfterRad)).toEqual(
      left.toSorted((a, b) => a - b).map((each) => expect.closeTo(each, 7)),
    );
    for (const { index, sigmaAfterRad } of ranked) expect(sigmaAfterRad / left[index]).toBeCloseTo(1, 5);
  });
});
