import { expect, it } from 'vitest';
import { arcminute } from '../../calibration/angle.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { walkEvening } from '../../host/practice/evening.ts';
import { VirtualNight } from '../../host/practice/rehearseNight.ts';

const starts: Record<SceneName, string> = { orchard: '2027-01-15T04:00:00Z', woolshed: '2027-01-15T11:00:00Z' };
const mounts = (['orchard', 'woolshed'] as const).flatMap((scene) =>
  [1, 2].map((seed) => {
    const start = new Date(starts[scene]);
    const { rehearsal } = new VirtualNight(scene, seed, start);
    /** The same mount, board and first errors once more. */
    return (): VirtualNight => new VirtualNight(scene, seed, start, rehearsal);
  }),
);
/** Chi-squared with 8 degrees of freedom leaves these once in ten thousand each (scipy.stats.chi2). */
const [least, most] = [0.464, 31.828];

it('evenings that follow the next step alone end locked, loaded and near the pole, and hold what they state', () => {
  let squares = 0;
  const distances: number[] = [];
  for (const mount of mounts) {
    const night = mount();
    const steps: string[] = [];
    walkEvening(night, undefined, ({ step, expected }) => {
      steps.push(step);
      // no nudge is advised whose expected result is farther from the pole
      if (step === 'nudge') expect(expected!.afterRad).toBeLessThan(expected!.nowRad);
    });
    expect(steps.slice(0, 5)).toEqual(['needles', 'load', 'balance', 'sight', 'enough']);
    expect(steps.slice(-2)).toEqual(['observe', 'sheet']);
    // where the axis stands is proved after the bolts were touched last
    expect(steps.lastIndexOf('drift')).toBeGreaterThan(steps.lastIndexOf('lock'));
    expect(night.world.mount.altitude.locked && night.world.mount.azimuth.locked).toBe(true);
    expect(night.world.mount.loadShare).toBe(1);
    const truth = night.world.truth();
    const { altitudeErrorRad, azimuthErrorRad, axisCovariance } = night.answer();
    squares += (altitudeErrorRad - truth.altitudeErrorRad) ** 2 / axisCovariance[0];
    squares += (azimuthErrorRad - truth.azimuthErrorRad) ** 2 / axisCovariance[3];
    distances.push(truth.distanceRad / arcminute);
  }
  expect(squares).toBeGreaterThan(least);
  expect(squares).toBeLessThan(most);
  // the bench holds 2' for half of 200 evenings and 4' for 95 percent; of four, three lie within 3.5' and none beyond 6'
  expect(Math.max(...distances)).toBeLessThan(6);
  expect(distances.sort((a, b) => a - b)[2]).toBeLessThan(3.5);
});

it('after sights, drift, two nudges by the needles and locking both the answer and the needles hold what they state', () => {
  const squares = { answer: 0, needles: 0 };
  for (const mount of mounts) {
    const night = mount();
    night.nudge(5 * arcminute);
    night.noteCompass();
    night.takeSights(6);
    night.takeOver();
    night.nudge(2 * arcminute);
    night.watchDrift(5);
    night.takeOver();
    night.nudge(1.5 * arcminute);
    night.lock();
    const truth = night.world.truth();
    const answer = night.answer();
    const { shown } = night.rest(20);
    const [altitude, azimuth] = [truth.altitudeErrorRad, truth.azimuthErrorRad];
    squares.answer += (answer.altitudeErrorRad - altitude) ** 2 / answer.axisCovariance[0];
    squares.answer += (answer.azimuthErrorRad - azimuth) ** 2 / answer.axisCovariance[3];
    squares.needles += ((shown.altitudeErrorRad - altitude) / shown.sigmaAltitudeErrorRad) ** 2;
    squares.needles += ((shown.azimuthErrorRad - azimuth) / shown.sigmaAzimuthErrorRad) ** 2;
    expect(Math.sqrt(answer.axisCovariance[3])).toBeLessThan(8 * arcminute);
  }
  for (const sum of Object.values(squares)) {
    expect(sum).toBeLessThan(most);
    expect(sum).toBeGreaterThan(least);
  }
});
