import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { directionOf, newFilter, updateFilter } from '../../calibration/live/carrier.ts';
import type { LiveSample } from '../../calibration/live/estimator.ts';
import { cross, dot, scale, subtract, type Vector3, vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { follow, north, readingAt, samplesOf, testEstimator, type Pose } from './liveSamples.ts';

const level: Vector3 = [0, 0, 1];

describe('conventions of the ahrs package', () => {
  // board level with z up; its x axis turned from magnetic north toward west
  it.each(['Madgwick', 'Mahony'] as const)('%s counts headings from north toward west, z up', (algorithm) => {
    const west = 30 * degree;
    const field: Vector3 = [20_000 * Math.cos(west), -20_000 * Math.sin(west), -45_000];
    const filter = newFilter(algorithm, 0.5, 0.01);
    for (let i = 0; i < 400; i += 1) updateFilter(filter, [0, 0, 0], level, field, 0.01);
    const [n, e, d] = directionOf(filter, [1, 0, 0]);
    expect(Math.atan2(e, n) / degree).toBeCloseTo(-30, 1);
    expect(d).toBeCloseTo(0, 2);
    expect(directionOf(filter, [0, 0, 1])[2]).toBeCloseTo(-1, 2);
  });

  it.each(['Madgwick', 'Mahony'] as const)(
    '%s does not pass over readings with components of exactly zero',
    (algorithm) => {
      // starts a little wrong, and must come right on nothing but level readings whose x and y are zero
      const filter = newFilter(algorithm, 5, 0.01);
      updateFilter(filter, [0, 0, 0], [0.2, 0.1, 0.97], [15_000, 12_000, -45_000], 0.01);
      for (let i = 0; i < 1500; i += 1) updateFilter(filter, [0, 0, 0], level, [20_000, 0, -45_000], 0.01);
      const [n, e, d] = directionOf(filter, [1, 0, 0]);
      expect(n).toBeGreaterThan(0.9999);
      expect(Math.abs(e)).toBeLessThan(0.01);
      expect(Math.abs(d)).toBeLessThan(0.01);
    },
  );

  it('without the guard the package would pass over them', () => {
    const filter = newFilter('Mahony', 1, 0.01);
    filter.update(0, 0, 0, 0.2, 0.1, 0.97, 15_000, 12_000, -45_000, 0.01);
    const before = JSON.stringify(filter.getQuaternion());
    filter.update(0, 0, 0, 0, 0, 1, 20_000, 0, -45_000, 0.01);
    expect(JSON.stringify(filter.getQuaternion())).toBe(before);
  });
});

/** A gyro's reading between two poses: the small rotation that carries the board's world vectors, degrees a second, noisy. */
function withGyro(
  poseAt: (timeS: number) => Pose,
  samples: Iterable<LiveSample>,
  seed: number,
  biasDps: Vector3,
): LiveSample[] {
  const random = new Random(seed);
  return [...samples].map((sample) => {
    const [before, after] = [sample.boardS - 0.01, sample.boardS].map((timeS) => readingAt(north, poseAt(timeS)));
    // v' = v - w x v dt for a vector fixed in the world; solved for w from gravity and field
    const change = (a: Vector3, b: Vector3): Vector3 => scale(subtract(b, a), 100);
    const [g, f] = [after.accelG, scale(after.fieldNt, 1 / north.fieldNt)];
    const [gChange, fChange] = [
      change(before.accelG, after.accelG),
      change(scale(before.fieldNt, 1 / north.fieldNt), f),
    ];
    // w = g x g' reversed, plus a turn about g that the field tells
    const across = scale(cross(gChange, g), 1 / dot(g, g));
    const left = subtract(fChange, cross(f, across));
    const arm = cross(f, g);
    const about = dot(left, arm) / dot(arm, arm);
    const rate = vector3(
      [0, 1, 2].map((i) => (across[i] + about * g[i]) / degree + biasDps[i] + 0.05 * random.normal()),
    );
    return { ...sample, rateDps: rate };
  });
}

describe('a board with a gyro', () => {
  // the axis is raised by half a degree a second for four seconds, after eight at rest
  const poseAt = (timeS: number): Pose => ({
    altitudeErrorDeg: Math.min(Math.max(timeS - 8, 0), 4) * 0.5,
    azimuthErrorDeg: Math.min(Math.max(timeS - 8, 0), 4) * 0.5,
  });
  const lag = (samples: Iterable<LiveSample>) => {
    let [altitude, azimuth, n, end] = [0, 0, 0, 0];
    const atRest: number[] = [];
    follow(testEstimator(north), samples, (timeS, estimate) => {
      const truth = poseAt(timeS);
      if (timeS > 5 && timeS < 8) atRest.push(estimate.azimuthErrorRad / degree);
      if (timeS > 8.5 && timeS < 12) {
        altitude += (estimate.altitudeErrorRad / degree - truth.altitudeErrorDeg) ** 2;
        azimuth += (estimate.azimuthErrorRad / degree - truth.azimuthErrorDeg) ** 2;
        n += 1;
      }
      end = Math.abs(estimate.azimuthErrorRad / degree - truth.azimuthErrorDeg);
    });
    const mean = atRest.reduce((sum, value) => sum + value, 0) / atRest.length;
    const restNoise = Math.hypot(...atRest.map((value) => value - mean));
    return { altitude: Math.sqrt(altitude / n), azimuth: Math.sqrt(azimuth / n), end, restNoise };
  };

  it('lags at most half as much on a moving bolt as gravity and field alone, at the same noise at rest', () => {
    const noGyro = lag(samplesOf(north, poseAt, 18, 2));
    const gyro = lag(withGyro(poseAt, samplesOf(north, poseAt, 18, 2), 3, [0.4, -0.3, 0.2]));
    // seeds 1 to 10: at most 0.31 and 0.21 of it, and a noise of 1.00
    expect(gyro.altitude).toBeLessThan(0.5 * noGyro.altitude);
    expect(gyro.azimuth).toBeLessThan(0.5 * noGyro.azimuth);
    expect(gyro.end).toBeLessThan(0.1);
    expect(gyro.restNoise / noGyro.restNoise).toBeLessThan(1.05);
  });

  it('a gyro with a bias moves no needle at rest', () => {
    const rest = (): Pose => ({ altitudeErrorDeg: 1, azimuthErrorDeg: -1 });
    follow(testEstimator(north), withGyro(rest, samplesOf(north, rest, 20, 4), 5, [1.5, -2, 1]), (timeS, estimate) => {
      if (timeS < 8) return;
      expect(Math.abs(estimate.altitudeErrorRad / degree - 1)).toBeLessThan(0.05);
      expect(Math.abs(estimate.azimuthErrorRad / degree + 1)).toBeLessThan(0.2);
    });
  });
});
