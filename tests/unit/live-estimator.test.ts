// The live estimator on readings without noise: what starts it afresh, what widens its sigmas, what it calls moving.
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import type { LiveEstimate, LiveEstimator } from '../../calibration/live/estimator.ts';
import { north, readingAt, south, testEstimator, testModel, type Pose } from './liveSamples.ts';

const still: Pose = { altitudeErrorDeg: 1, azimuthErrorDeg: -2 };
const far: Pose = { altitudeErrorDeg: 5, azimuthErrorDeg: 7 };

/** Rest of so many seconds; the last estimate. */
function rest(
  estimator: LiveEstimator,
  seconds: number,
  { hz = 100, fromS = 0, pose = still, temperatureC = undefined as number | undefined } = {},
): LiveEstimate {
  const reading = readingAt(north, pose);
  let last: LiveEstimate | undefined;
  for (let i = 0; i <= Math.round(seconds * hz); i += 1)
    last = estimator.offer({ ...reading, boardS: fromS + i / hz, temperatureC });
  if (!last) throw new Error('no estimate');
  return last;
}

describe('a pause of the stream', () => {
  /** Whether the needle stands at once where the first reading after the pause has it. */
  const startsAfresh = (hz: number, pauseS: number): boolean => {
    const estimator = testEstimator(north);
    rest(estimator, 150 / hz, { hz });
    const after = estimator.offer({ ...readingAt(north, far), boardS: 150 / hz + pauseS });
    return Math.abs((after?.altitudeErrorRad ?? NaN) / degree - 5) < 1e-9;
  };

  it.each([
    [100, 0.9, false],
    [100, 1.1, true],
    [1, 2.8, false],
    [1, 3.2, true],
    [2, 1.3, false],
    [2, 1.7, true],
  ])('at %d samples a second of %d s starts afresh: %s', (hz, pauseS, expected) => {
    expect(startsAfresh(hz, pauseS)).toBe(expected);
  });

  it('and so does a clock that stands or runs back', () => {
    for (const pauseS of [0, -5, NaN]) expect(startsAfresh(100, pauseS)).toBe(true);
  });
});

describe('warmth', () => {
  it('opens altitude by 0.3 mg a degree, azimuth by 20 nT over the level field and the tilt times tan(dip)', () => {
    const model = { ...testModel(north), temperatureC: 4 };
    const at = (temperatureC: number): LiveEstimate => rest(testEstimator(north, model), 30, { temperatureC });
    const [same, colder, warmer] = [4, -5, 13].map(at);
    const levelNt = north.fieldNt * Math.cos(north.dipDeg * degree);
    const byField = (9 * 20) / levelNt;
    const byTilt = 9 * 3e-4 * Math.tan(north.dipDeg * degree);
    for (const one of [colder, warmer]) {
      expect(one.sigmaAltitudeErrorRad).toBeCloseTo(Math.hypot(same.sigmaAltitudeErrorRad, 9 * 3e-4), 9);
      expect(one.sigmaAzimuthErrorRad).toBeCloseTo(Math.hypot(same.sigmaAzimuthErrorRad, byField, byTilt), 9);
    }
  });

  it('counts from the anchor on while there is one, and from the swing again after its release', () => {
    const estimator = testEstimator(north, { ...testModel(north), temperatureC: 4 });
    rest(estimator, 30, { temperatureC: 10 });
    const wide = rest(estimator, 5, { fromS: 30.01, temperatureC: 10 });
    estimator.anchorTo({
      altitudeErrorRad: 0.3 * degree,
      azimuthErrorRad: -0.1 * degree,
      sigmaAltitudeErrorRad: 1 * arcminute,
      sigmaAzimuthErrorRad: 2 * arcminute,
    });
    const anchored = rest(estimator, 5, { fromS: 35.02, temperatureC: 10 });
    // noise, and what chips wander by, stay in it: a quarter and one and a half arcminutes, then and now
    expect(anchored.sigmaAltitudeErrorRad / arcminute).toBeCloseTo(Math.hypot(1, 0.25 * Math.SQRT2), 2);
    expect(anchored.sigmaAzimuthErrorRad / arcminute).toBeCloseTo(Math.hypot(2, 1.5 * Math.SQRT2), 1);
    expect(anchored.altitudeErrorRad / degree).toBeCloseTo(0.3, 6);
    expect(anchored.azimuthErrorRad / degree).toBeCloseTo(-0.1, 6);
    estimator.release();
    const released = rest(estimator, 5, { fromS: 40.03, temperatureC: 10 });
    expect(released.sigmaAltitudeErrorRad).toBeCloseTo(wide.sigmaAltitudeErrorRad, 5);
    expect(released.altitudeErrorRad / degree).toBeCloseTo(1, 6);
  });
});

describe('the sigmas of a board at rest', () => {
  it('are the floors of model and variation, and on the sky the azimuth counts by the cosine of the altitude', () => {
    const model = testModel(north, 2 * arcminute, 11 * arcminute);
    const { sigmaAltitudeErrorRad, sigmaAzimuthErrorRad, sigmaDistanceRad } = rest(testEstimator(north, model), 30);
    expect(sigmaAltitudeErrorRad / arcminute).toBeCloseTo(2, 2);
    // 0.38 degree of variation
    expect(sigmaAzimuthErrorRad / arcminute).toBeCloseTo(Math.hypot(11, 22.8), 2);
    const pose: Pose = { altitudeErrorDeg: 0, azimuthErrorDeg: -15 };
    const aside = rest(testEstimator(north, model), 30, { pose });
    const onSky = Math.cos(north.latitudeDeg * degree) * aside.sigmaAzimuthErrorRad;
    expect(aside.sigmaDistanceRad / onSky).toBeCloseTo(1, 2);
    expect(sigmaDistanceRad).toBeLessThan(sigmaAzimuthErrorRad);
  });
});

describe('what is called moving', () => {
  const statesAfter = (seconds: number, disturb: (estimator: LiveEstimator) => void): string => {
    const estimator = testEstimator(north);
    expect(rest(estimator, 10).state).toBe('still');
    disturb(estimator);
    return rest(estimator, seconds, { fromS: 10.02 }).state;
  };

  it('a blow, for half a second after it', () => {
    const blow = (estimator: LiveEstimator): void => {
      const { accelG, fieldNt } = readingAt(north, still);
      const harder = [1.6 * accelG[0], 1.6 * accelG[1], 1.6 * accelG[2]] as const;
      expect(estimator.offer({ accelG: harder, fieldNt, boardS: 10.01 })).toBeUndefined();
      expect(estimator.skipped).toBe(1);
    };
    expect(statesAfter(0.4, blow)).toBe('moving');
    expect(statesAfter(0.6, blow)).toBe('still');
  });

  it('the start, until the board has rested for half a second', () => {
    const states = [0, 0.3, 0.45, 0.6, 2].map((seconds) => rest(testEstimator(north), seconds).state);
    expect(states).toEqual(['moving', 'moving', 'moving', 'still', 'still']);
  });

  it('a rate of a gyro, whose bias is known, when gravity and field show nothing yet', () => {
    const estimator = testEstimator(south);
    const reading = readingAt(south, still);
    const offer = (boardS: number, rate: number): string | undefined =>
      estimator.offer({ ...reading, boardS, rateDps: [0.5, -0.2 + rate, 0.3] })?.state;
    let before: string | undefined;
    for (let i = 0; i < 600; i += 1) before = offer(i / 100, 0);
    let after: string | undefined;
    for (let i = 0; i < 30; i += 1) after = offer(6 + i / 100, 3);
    expect([before, after]).toEqual(['still', 'moving']);
  });
});
