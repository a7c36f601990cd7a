import { describe, expect, it } from 'vitest';
import { answerOf, type AxisEstimate } from '../../calibration/answer.ts';
import { arcminute, degree } from '../../calibration/angle.ts';
import { starWorth } from '../../calibration/nudge/bestStar.ts';
import { readShift, tiltEastRad } from '../../calibration/nudge/readShift.ts';
import { baseTurn, home, starAfter } from '../../calibration/nudge/starAfter.ts';
import { toNed } from '../../calibration/polarAxis.ts';
import { apply, dot, multiply, transpose } from '../../calibration/vector.ts';
import { axisFrameOf, baseTilt } from '../../firmware-proto/virtual/mount.ts';
import { equatorialOf } from '../../calibration/equatorial.ts';
import { estimatesOf, shiftFields } from '../../host/night/nightEstimates.ts';
import { isNudgeAdvised, nudgeStars, planStarNudge, type NudgeAxis } from '../../host/steps/starNudge.ts';
import { clockHour } from '../../host/steps/starNudgeWords.ts';
import { requireStar } from '../../host/sky/stars.ts';

const latitudeRad = 46.4 * degree;
const site = { latitudeRad, longitudeRad: 8 * degree, elevationM: 400 };
const utc = new Date('2027-01-20T21:00:00Z');
const at = (altitude: number, azimuth: number) =>
  toNed({ altitudeRad: altitude * degree, azimuthRad: azimuth * degree });
const axis = (altitude: number, azimuth: number, sigma = 0): NudgeAxis => ({
  altitudeErrorRad: altitude * arcminute,
  azimuthErrorRad: azimuth * arcminute,
  axisCovariance: [(sigma * arcminute) ** 2, 0, 0, (1.3 * sigma * arcminute) ** 2],
});

describe('which star', () => {
  it('is one near the meridian: due east both bolts move it along the same line', () => {
    expect(starWorth(at(35, 180), latitudeRad).spread).toBeLessThan(2);
    expect(starWorth(at(35, 180), latitudeRad).apart).toBeCloseTo(1, 6);
    expect(starWorth(at(35, 90), latitudeRad).apart).toBeCloseTo(0, 6);
    expect(starWorth(at(3, 95), latitudeRad).byAltitude).toBeLessThan(0.15);
    expect(starWorth(at(88, 180), latitudeRad).byAzimuth).toBeLessThan(0.06);
  });

  it('stays in the field where there is one', () => {
    const all = nudgeStars(site, utc, axis(-3, 40), Infinity);
    const inField = nudgeStars(site, utc, axis(-3, 40), 44 * arcminute);
    expect(all.length).toBeGreaterThan(3);
    expect(inField[0].shiftRad).toBeLessThan(all[0].shiftRad);
    expect(nudgeStars(site, new Date('2027-01-20T11:00:00Z'), axis(-3, 40), Infinity)).toEqual([]);
  });
});

describe('the plan', () => {
  const sirius = requireStar('sirius');

  it('splits the way, each step from the centre', () => {
    const plan = planStarNudge(sirius, site, utc, axis(25, -60), {
      fieldRad: 50 * arcminute,
      sigmaReadRad: 1.25 * arcminute,
    });
    expect(plan.steps.length).toBeGreaterThan(2);
    const north = plan.steps.reduce((sum, step) => sum + step.home.northRad, 0);
    const east = plan.steps.reduce((sum, step) => sum + step.home.eastRad, 0);
    expect(north / arcminute).toBeCloseTo(plan.whole.northRad / arcminute, 0);
    expect(east / arcminute).toBeCloseTo(plan.whole.eastRad / arcminute, 0);
    for (const { home: end } of plan.steps)
      expect(Math.hypot(end.northRad, end.eastRad)).toBeLessThan(0.81 * 25 * arcminute);
  });

  it('advises no nudge that brings the axis no nearer', () => {
    const eye = { fieldRad: 60 * arcminute, sigmaReadRad: 1.5 * arcminute };
    expect(isNudgeAdvised(planStarNudge(sirius, site, utc, axis(7, -9, 1), eye))).toBe(true);
    const near = planStarNudge(sirius, site, utc, axis(0.6, -0.9, 1), eye);
    expect(near.expectedAfterRad).toBeGreaterThan(near.expectedBeforeRad);
    expect(isNudgeAdvised(near)).toBe(false);
  });

  it('holds a clock so that west is at 3', () => {
    const west = { northRad: 0, eastRad: -1 };
    const north = { northRad: 1, eastRad: 0 };
    expect([clockHour(west, false), clockHour(north, false)]).toEqual([3, 12]);
    expect([clockHour(west, true), clockHour(north, true)]).toEqual([3, 6]);
    expect(clockHour({ northRad: -1, eastRad: 1 }, false)).toBe(8);
  });
});

describe('a base that is not level', () => {
  // The mount of the virtual world, on a base tilted by each of two ways: axis frame before and after both bolts.
  it.each([
    [0, 0.9],
    [90, 1.4],
    [215, 0.7],
  ])('tilted toward azimuth %i moves the star along right ascension by what is allowed for', (toward, tiltDeg) => {
    const tilt = baseTilt(tiltDeg * degree, toward * degree);
    const star = at(33, 190);
    const from = { altitudeErrorRad: 14 * arcminute, azimuthErrorRad: -31 * arcminute };
    const [before, after] = [from, home].map(({ altitudeErrorRad, azimuthErrorRad }) => {
      const wanted = toNed({ altitudeRad: latitudeRad + altitudeErrorRad, azimuthRad: azimuthErrorRad });
      const [n, e, d] = apply(transpose(tilt), wanted);
      return multiply(
        tilt,
        axisFrameOf({ altitudeRad: Math.atan2(-d, Math.hypot(n, e)), azimuthRad: Math.atan2(e, n) }),
      );
    });
    const tube = apply(multiply(after, transpose(before)), star);
    const level = starAfter(star, latitudeRad, from, home);
    const pole = toNed({ altitudeRad: latitudeRad, azimuthRad: 0 });
    // declination is untouched by the tilt: both tubes stand at the same distance from the pole
    const levelTube = apply(baseTurn(latitudeRad, from, home), star);
    expect(Math.asin(dot(tube, pole))).toBeCloseTo(Math.asin(dot(levelTube, pole)), 9);
    const { hourAngleRad: tubeHour } = equatorialOf(tube, latitudeRad);
    const { hourAngleRad: starHour, declinationRad: dec } = equatorialOf(star, latitudeRad);
    const eastRad = (tubeHour - starHour) * Math.cos(dec);
    const allowed = tiltEastRad(star, latitudeRad, from, tiltDeg * degree);
    expect(Math.abs(eastRad - level.eastRad)).toBeLessThan(1.2 * allowed + 1e-6);
  });
});

describe('in the answer of the night', () => {
  const measured: AxisEstimate = {
    kind: 'drift',
    utcMs: utc.getTime(),
    altitudeErrorRad: 9 * arcminute,
    azimuthErrorRad: -14 * arcminute,
    axisCovariance: [(0.8 * arcminute) ** 2, 0, 0, (1.1 * arcminute) ** 2],
  };

  it('a nudge read on a star costs what the reading is worth, not what the needles are', () => {
    const from = { altitudeErrorRad: 9 * arcminute, azimuthErrorRad: -14 * arcminute };
    const star = at(40, 172);
    const read = readShift(star, latitudeRad, from, starAfter(star, latitudeRad, from, home), arcminute);
    const nudge = {
      kind: 'nudge' as const,
      timeUtc: utc.toISOString(),
      altitudeShiftDeg: read.altitudeShiftRad / degree,
      azimuthShiftDeg: read.azimuthShiftRad / degree,
    };
    const drift = {
      kind: 'drift' as const,
      timeUtc: utc.toISOString(),
      altitudeErrorDeg: 9 / 60,
      azimuthErrorDeg: -14 / 60,
      sigmaAltitudeErrorDeg: 0.8 / 60,
      sigmaAzimuthErrorDeg: 1.1 / 60,
      correlation: 0,
    };
    const answer = (entry: typeof nudge) =>
      answerOf(estimatesOf([drift, entry]), latitudeRad, measured.utcMs).axisCovariance;
    const [byStar, byNeedles] = [answer({ ...nudge, ...shiftFields(read.covariance) }), answer(nudge)];
    const carried = (0.01 * read.altitudeShiftRad) ** 2;
    expect(byStar[0]).toBeCloseTo(measured.axisCovariance[0] + read.covariance[0] + carried, 12);
    expect(byStar[1] / arcminute ** 2).toBeCloseTo(read.covariance[1] / arcminute ** 2, 3);
    expect(Math.sqrt(byNeedles[3]) / arcminute).toBeCloseTo(Math.hypot(1.1, 3, 0.14), 2);
    expect(Math.sqrt(byStar[3]) / arcminute).toBeLessThan(2);
  });
});
