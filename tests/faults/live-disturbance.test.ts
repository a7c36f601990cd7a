import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { LiveEstimate } from '../../calibration/live/estimator.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { collect } from '../../firmware-proto/virtual/worldSamples.ts';
import { LiveEstimator } from '../../calibration/live/estimator.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import { swingSite } from '../../host/site/swingSite.ts';
import { follow, north, samplesOf, south, testEstimator, type Pose } from '../unit/liveSamples.ts';

const still: Pose = { altitudeErrorDeg: 0.3, azimuthErrorDeg: -0.2 };

describe.each([
  ['north', north],
  ['south', south],
])('iron that comes near and goes again, in the %s', (_, place) => {
  it.each([
    [800, 0, 0],
    [0, 1200, 600],
    [0, 300, 1000],
    [-2000, 3000, 500],
  ])(
    'a field of %d %d %d nT more: disturbed within 2 s, the band holds the truth, and all is well again after',
    (...iron) => {
      const seen: { timeS: number; estimate: LiveEstimate }[] = [];
      const pose = (timeS: number): Pose => ({ ...still, ironNt: timeS > 10 && timeS < 18 ? iron : undefined });
      follow(testEstimator(place), samplesOf(place, pose, 28, 3), (timeS, estimate) => seen.push({ timeS, estimate }));
      const during = seen.filter(({ timeS }) => timeS > 12 && timeS < 18);
      expect(during.every(({ estimate }) => estimate.state === 'disturbed')).toBe(true);
      for (const { estimate } of during)
        expect(Math.abs(estimate.azimuthErrorRad / degree + 0.2)).toBeLessThan(
          (2 * estimate.sigmaAzimuthErrorRad) / degree,
        );
      const before = seen.filter(({ timeS }) => timeS > 5 && timeS < 10);
      const after = seen.filter(({ timeS }) => timeS > 24);
      for (const { estimate } of [...before, ...after]) expect(estimate.state).toBe('still');
      const widest = Math.max(...during.map(({ estimate }) => estimate.sigmaAzimuthErrorRad));
      expect(widest).toBeGreaterThan(1.5 * before[100].estimate.sigmaAzimuthErrorRad);
    },
  );

  it('leaves the altitude needle alone', () => {
    const pose = (timeS: number): Pose => ({ ...still, ironNt: timeS > 10 ? [3000, -2000, 1500] : undefined });
    follow(testEstimator(place), samplesOf(place, pose, 20, 4), (timeS, estimate) => {
      if (timeS > 11) expect(Math.abs(estimate.altitudeErrorRad / degree - 0.3)).toBeLessThan(0.05);
    });
  });
});

it('a clean field is not called disturbed in ten minutes', () => {
  let disturbed = 0;
  follow(
    testEstimator(north),
    samplesOf(north, () => still, 600, 9),
    (_, estimate) => {
      if (estimate.state === 'disturbed') disturbed += 1;
    },
  );
  expect(disturbed).toBe(0);
});

it.each(['orchard', 'woolshed'] as const)('the car of scene %s is noticed when it drives up', (scene) => {
  const date = new Date('2026-11-25T00:00:00Z');
  const { swing } = rehearseFast(scene, { seed: 2, date });
  const world = createWorld(scene, { seed: 2, date });
  const estimator = new LiveEstimator(swing.axisModel, swingSite(world.scene.place, date));
  const states = (untilS: number): string[] =>
    collect(world, untilS, 100).map(
      ({ timeS, ...sample }) => estimator.offer({ ...sample, boardS: timeS })?.state ?? '',
    );
  const before = states(10);
  world.hands.bringIron(true);
  const during = states(24);
  expect(before.slice(100)).not.toContain('disturbed');
  expect(during.at(-1)).toBe('disturbed');
});
