import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { LiveEstimate } from '../../calibration/live/estimator.ts';
import { north, readingAt, south, testEstimator, testModel, type Pose, type TestPlace } from './liveSamples.ts';

/** What the needles show of a noiseless board after one sample. */
function shown(place: TestPlace, pose: Pose): LiveEstimate {
  const estimate = testEstimator(place).offer({ ...readingAt(place, pose), boardS: 0 });
  if (!estimate) throw new Error('no estimate');
  return estimate;
}

describe.each([
  ['north', north],
  ['south', south],
])('signs in the %s', (_, place) => {
  it.each([
    [1, 0],
    [-1, 0],
    [0, 1],
    [0, -1],
    [2.5, -3],
  ])('an axis %d degrees too high and %d too far east shows just that', (altitudeErrorDeg, azimuthErrorDeg) => {
    const estimate = shown(place, { altitudeErrorDeg, azimuthErrorDeg });
    expect(estimate.altitudeErrorRad / degree).toBeCloseTo(altitudeErrorDeg, 9);
    expect(estimate.azimuthErrorRad / degree).toBeCloseTo(azimuthErrorDeg, 9);
  });

  it('the distance is the great circle, not the hypotenuse', () => {
    const estimate = shown(place, { altitudeErrorDeg: 0, azimuthErrorDeg: 10 });
    // haversine formula (Sinnott 1984) between two points of equal altitude
    const half = Math.cos(place.latitudeDeg * degree) * Math.sin(5 * degree);
    expect(estimate.distanceRad).toBeCloseTo(2 * Math.asin(half), 12);
  });

  it('turning about the axis moves no needle', () => {
    for (let roll = 0; roll < 2 * Math.PI; roll += 0.5) {
      const estimate = shown(place, { altitudeErrorDeg: 0.7, azimuthErrorDeg: -1.2, rollRad: roll });
      expect(estimate.altitudeErrorRad / degree).toBeCloseTo(0.7, 9);
      expect(estimate.azimuthErrorRad / degree).toBeCloseTo(-1.2, 9);
    }
  });

  it('any error comes back, across the wrap from 359 to 1 degrees and through the south', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -20, max: 20, noNaN: true }),
        fc.double({ min: -179, max: 179, noNaN: true }),
        fc.double({ min: 0, max: 6.28, noNaN: true }),
        (altitudeErrorDeg, azimuthErrorDeg, rollRad) => {
          const estimate = shown(place, { altitudeErrorDeg, azimuthErrorDeg, rollRad });
          expect(Math.abs(estimate.altitudeErrorRad / degree - altitudeErrorDeg)).toBeLessThan(1e-6);
          expect(Math.abs(estimate.azimuthErrorRad / degree - azimuthErrorDeg)).toBeLessThan(1e-6);
        },
      ),
      { seed: 20, numRuns: 200 },
    );
  });

  it('a needle that crosses the wrap goes the short way, with no reading in between from the other side', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -8, max: 8, noNaN: true }),
        fc.double({ min: -8, max: 8, noNaN: true }),
        (from, to) => {
          const estimator = testEstimator(place, testModel(place));
          const reach = Math.max(Math.abs(from), Math.abs(to)) + 1e-6;
          for (let i = 0; i < 120; i += 1) {
            const azimuthErrorDeg = from + ((to - from) * i) / 119;
            const estimate = estimator.offer({
              ...readingAt(place, { altitudeErrorDeg: 0, azimuthErrorDeg }),
              boardS: i / 100,
            });
            expect(Math.abs((estimate?.azimuthErrorRad ?? NaN) / degree)).toBeLessThan(reach);
          }
        },
      ),
      { seed: 21, numRuns: 60 },
    );
  });
});
