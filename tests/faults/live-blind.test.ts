// Iron square to both the field and the vertical: strength and dip stay, only the azimuth turns.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { LiveEstimate } from '../../calibration/live/estimator.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { follow, north, samplesOf, south, testEstimator, type Pose, type TestPlace } from '../unit/liveSamples.ts';

const still: Pose = { altitudeErrorDeg: 0.3, azimuthErrorDeg: -0.2 };
const seeds = [1, 2, 3, 4, 5, 6];

/** Toward magnetic east, nT: nothing else than the azimuth shows it. */
const blind = ({ variationDeg }: TestPlace, nt: number): Vector3 => [
  -nt * Math.sin(variationDeg * degree),
  nt * Math.cos(variationDeg * degree),
  0,
];

function estimatesOf(
  place: TestPlace,
  poseAt: (timeS: number) => Pose,
  seconds: number,
  seed: number,
): { timeS: number; estimate: LiveEstimate }[] {
  const seen: { timeS: number; estimate: LiveEstimate }[] = [];
  follow(testEstimator(place), samplesOf(place, poseAt, seconds, seed), (timeS, estimate) =>
    seen.push({ timeS, estimate }),
  );
  return seen;
}

describe.each([
  ['north', north],
  ['south', south],
])('a step in the blind direction, in the %s', (_, place) => {
  it.each([1000, -1000, 2500])('of %d nT is called a disturbance within a second, for as long as it lasts', (nt) => {
    for (const seed of seeds) {
      const pose = (timeS: number): Pose => ({
        ...still,
        ironNt: timeS > 10 && timeS < 16 ? blind(place, nt) : undefined,
      });
      let narrowest = Infinity;
      for (const { timeS, estimate } of estimatesOf(place, pose, 20, seed)) {
        const { state, azimuthErrorRad, sigmaAzimuthErrorRad } = estimate;
        if (timeS > 11 && timeS < 16) {
          expect(state).toBe('disturbed');
          expect(Math.abs(azimuthErrorRad / degree + 0.2)).toBeLessThan((2 * sigmaAzimuthErrorRad) / degree);
        }
        if (timeS > 18) {
          expect(state).not.toBe('disturbed');
          narrowest = Math.min(narrowest, sigmaAzimuthErrorRad);
        }
      }
      expect(narrowest).toBeLessThan(0.42 * degree);
    }
  });

  it.each([-400, 500, -600, 750])('of %d nT is flagged within a second or within three sigmas', (nt) => {
    let unflagged = 0;
    for (const seed of seeds.slice(2)) {
      const pose = (timeS: number): Pose => ({ ...still, ironNt: timeS > 8 ? blind(place, nt) : undefined });
      let flaggedS = Infinity;
      let worst = 0;
      for (const { timeS, estimate } of estimatesOf(place, pose, 12, seed)) {
        const { state, azimuthErrorRad, sigmaAzimuthErrorRad } = estimate;
        if (state === 'disturbed') flaggedS = Math.min(flaggedS, timeS - 8);
        if (timeS > 9) worst = Math.max(worst, Math.abs(azimuthErrorRad + 0.2 * degree) / sigmaAzimuthErrorRad);
      }
      expect(flaggedS <= 1 || worst < 3, `seed ${seed}: flagged after ${flaggedS} s, ${worst.toFixed(1)} sigmas`).toBe(
        true,
      );
      if (flaggedS > 1) unflagged += 1;
    }
    // the smaller ones are what the open sigma is for
    if (nt === -400) expect(unflagged).toBeGreaterThan(0);
  });

  it('is forgotten when the axis has been turned far', () => {
    const pose = (timeS: number): Pose => ({
      ...still,
      rollRad: Math.min(Math.max(timeS - 13, 0) * 0.2, 0.5),
      ironNt: timeS > 10 ? blind(place, 1500) : undefined,
    });
    const states = estimatesOf(place, pose, 20, 2).filter(({ timeS }) => timeS > 12);
    expect(states[0].estimate.state).toBe('disturbed');
    expect(states.at(-1)?.estimate.state).toBe('still');
  });
});

describe('a hand at the azimuth bolts', () => {
  it.each([
    [0.4, 3],
    [0.7, 1],
    [1.5, 2],
    [2, -3],
  ])('that turns by %d degrees a second is no disturbance', (rateDegS, turnDeg) => {
    const lastsS = Math.abs(turnDeg) / rateDegS;
    for (const seed of seeds) {
      const pose = (timeS: number): Pose => ({
        ...still,
        azimuthErrorDeg: -0.2 + turnDeg * Math.min(Math.max((timeS - 8) / lastsS, 0), 1),
      });
      const states = estimatesOf(north, pose, 9.5 + lastsS, seed).map(({ estimate }) => estimate.state);
      expect(states).not.toContain('disturbed');
      expect(states).toContain('moving');
    }
  });
});
