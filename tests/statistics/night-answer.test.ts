import { expect, it } from 'vitest';
import { arcminute } from '../../calibration/angle.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { VirtualNight } from '../../host/practice/rehearseNight.ts';

const starts: Record<SceneName, string> = { orchard: '2027-01-15T04:00:00Z', woolshed: '2027-01-15T11:00:00Z' };
const seeds = [1, 2, 3];

/** Chi-squared with 6 degrees of freedom leaves these once in ten thousand each: 1 - e^-h (1 + h + h^2 / 2) with h half of it. */
const [least, most] = [0.172, 27.856];

it('after sights, drift, two nudges and locking both the answer and the needles hold what they state', () => {
  const squares = { altitude: 0, azimuth: 0, needleAltitude: 0, needleAzimuth: 0 };
  for (const [scene, seed] of (['orchard', 'woolshed'] as const).flatMap((name) =>
    seeds.map((each) => [name, each] as const),
  )) {
    const night = new VirtualNight(scene, seed, new Date(starts[scene]));
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
    squares.altitude += (answer.altitudeErrorRad - altitude) ** 2 / answer.axisCovariance[0];
    squares.azimuth += (answer.azimuthErrorRad - azimuth) ** 2 / answer.axisCovariance[3];
    squares.needleAltitude += ((shown.altitudeErrorRad - altitude) / shown.sigmaAltitudeErrorRad) ** 2;
    squares.needleAzimuth += ((shown.azimuthErrorRad - azimuth) / shown.sigmaAzimuthErrorRad) ** 2;
    expect(Math.sqrt(answer.axisCovariance[3])).toBeLessThan(8 * arcminute);
  }
  for (const sum of Object.values(squares)) {
    expect(sum).toBeLessThan(most);
    expect(sum).toBeGreaterThan(least);
  }
});
