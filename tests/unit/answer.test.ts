import { describe, expect, it } from 'vitest';
import { answerOf, needleStepRad, nudgesRead, type AxisEstimate } from '../../calibration/answer.ts';
import { arcminute, degree } from '../../calibration/angle.ts';
import { chanceAbove, chanceOfChiSquared } from '../../calibration/chance.ts';
import { chanceWithin, verdictOf } from '../../calibration/enough.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

const estimate = (
  kind: AxisEstimate['kind'],
  altitude: number,
  sigmaAltitude: number,
  azimuth: number,
  sigmaAzimuth: number,
  more: Partial<AxisEstimate> = {},
): AxisEstimate => ({
  kind,
  utcMs: 0,
  altitudeErrorRad: altitude * arcminute,
  azimuthErrorRad: azimuth * arcminute,
  axisCovariance: [(sigmaAltitude * arcminute) ** 2, 0, 0, (sigmaAzimuth * arcminute) ** 2],
  ...more,
});

describe('one answer of the night', () => {
  it('weighs by inverse variance: the better measurement of each component leads it', () => {
    const answer = answerOf([estimate('compass', 3, 3, 30, 24), estimate('sights', 0, 4, 6, 3)], 47 * degree, 0);
    expect(answer.altitudeErrorRad / arcminute).toBeCloseTo(3 / 9 / (1 / 9 + 1 / 16), 6);
    expect(answer.azimuthErrorRad / arcminute).toBeCloseTo((30 / 576 + 6 / 9) / (1 / 576 + 1 / 9), 6);
    expect(answer.parts[1].azimuthWeight).toBeGreaterThan(0.98);
    expect(answer.parts[0].altitudeWeight + answer.parts[1].altitudeWeight).toBeCloseTo(1, 12);
  });

  it('uses correlations: what two measurements know together is more than each alone', () => {
    const s = arcminute ** 2;
    const one = { ...estimate('sights', 0, 1, 0, 1), axisCovariance: [10 * s, 9.9 * s, 9.9 * s, 10 * s] as const };
    const other = { ...estimate('drift', 0, 1, 0, 1), axisCovariance: [10 * s, -9.9 * s, -9.9 * s, 10 * s] as const };
    const { axisCovariance } = answerOf([one, other], 47 * degree, 0);
    expect(Math.sqrt(axisCovariance[0]) / arcminute).toBeLessThan(0.4);
  });

  it('carries an estimate over a nudge and trusts it a little less', () => {
    const moved = { altitudeRad: -10 * arcminute, azimuthRad: 60 * arcminute, nudges: 1 };
    const answer = answerOf([estimate('sights', 12, 2, -58, 2, { movedSince: moved })], 47 * degree, 0);
    expect(answer.altitudeErrorRad / arcminute).toBeCloseTo(2, 9);
    expect(answer.azimuthErrorRad / arcminute).toBeCloseTo(2, 9);
    expect(answer.axisCovariance[3]).toBeGreaterThan((2 * arcminute) ** 2);
  });

  it('shares what a nudge was misread by among all that was measured before it, as generalised least squares does', () => {
    const minute = 60_000;
    const moved = (azimuth: number, nudges: number) => ({ altitudeRad: 0, azimuthRad: azimuth * arcminute, nudges });
    const estimates = [
      estimate('sights', 0, 2, 20, 3, { movedSince: moved(-19, 3) }),
      estimate('drift', 0, 1, 2, 1.5, { utcMs: 30 * minute, movedSince: moved(-1, 2) }),
    ];
    const answer = answerOf(estimates, 47 * degree, 40 * minute);
    const step = needleStepRad.azimuth / arcminute;
    const settling = 0.5 ** 2 / Math.cos(47 * degree) ** 2;
    // common to both: two nudges and ten minutes; the sights have one nudge and half an hour more
    const common = 2 * step ** 2 + settling / 6 + 0.01 ** 2;
    const sights = 9 + step ** 2 + settling / 2 + 0.18 ** 2;
    const drift = 1.5 ** 2;
    const best = (1 / drift + 1 / sights) ** -1;
    expect(answer.axisCovariance[3] / arcminute ** 2).toBeCloseTo(best + common, 9);
    expect(answer.azimuthErrorRad / arcminute).toBeCloseTo(best * (1 / drift + 1 / sights), 9);
    expect(answer.parts[1].azimuthWeight).toBeCloseTo(best / drift, 9);
    expect(answerOf(estimates.toReversed(), 47 * degree, 40 * minute).azimuthErrorRad).toBeCloseTo(
      answer.azimuthErrorRad,
      12,
    );
  });

  it('counts nudges made in one go by what was read first and last', () => {
    expect(nudgesRead(0)).toBe(0);
    expect(nudgesRead(Infinity)).toBe(1);
    expect(nudgesRead(4)).toBeLessThan(0.15);
  });

  it('lets an estimate age', () => {
    const fresh = answerOf([estimate('drift', 0, 1, 0, 1)], 47 * degree, 0);
    const old = answerOf([estimate('drift', 0, 1, 0, 1)], 47 * degree, 4 * 3_600_000);
    expect(old.axisCovariance[0] / fresh.axisCovariance[0]).toBeCloseTo(2, 6);
    expect(old.parts[0].ageS).toBe(14_400);
  });

  it('tells when measurements contradict each other', () => {
    const answer = answerOf([estimate('sights', 0, 2, 0, 2), estimate('drift', 20, 2, 0, 2)], 47 * degree, 0);
    expect(answer.agreement).toBeLessThan(1e-6);
    expect(answerOf([estimate('sights', 0, 2, 0, 2), estimate('drift', 2, 2, 1, 2)], 0.7, 0).agreement).toBeGreaterThan(
      0.3,
    );
  });

  it('refuses when nothing was measured', () => expect(() => answerOf([], 0.7, 0)).toThrow(RangeError));
});

describe('chances', () => {
  // Abramowitz and Stegun (1964), tables 26.1 and 26.8.
  it.each([
    [0, 0.5],
    [1, 0.158655],
    [1.959964, 0.025],
    [-1, 0.841345],
  ])('normal above %f', (z, p) => expect(chanceAbove(z)).toBeCloseTo(p, 5));
  it.each([
    [3.841, 1, 0.05],
    [9.21, 2, 0.01],
    [11.07, 5, 0.05],
    [16.812, 6, 0.01],
  ])('chi-squared %f with %d degrees of freedom', (value, freedoms, p) =>
    expect(Math.abs(chanceOfChiSquared(value, freedoms) - p)).toBeLessThan(0.003),
  );
  it('within a circle: the Rayleigh distribution when centred', () => {
    expect(chanceWithin(2, 0, 0, [1, 0, 0, 1])).toBeCloseTo(1 - Math.exp(-2), 4);
  });
  it('within a circle: as counted of 20,000 draws, off centre and correlated', () => {
    const random = new Random(3);
    let inside = 0;
    for (let i = 0; i < 20_000; i += 1) {
      const [a, b] = [random.normal(), random.normal()];
      if (Math.hypot(1 + 1.2 * a, -0.5 + 0.5 * a + 0.8 * b) < 1.5) inside += 1;
    }
    const chance = chanceWithin(1.5, 1, -0.5, [1.44, 0.6, 0.6, 0.25 + 0.64]);
    expect(Math.abs(chance - inside / 20_000)).toBeLessThan(0.012);
  });
  it('verdicts turn at 5, 50 and 95 in 100', () => {
    expect([0.99, 0.7, 0.3, 0.01].map(verdictOf)).toEqual([
      'good enough',
      'probably good enough',
      'probably not good enough',
      'not good enough',
    ]);
  });
});
