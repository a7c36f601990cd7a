import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { VirtualNight } from '../../host/practice/rehearseNight.ts';

/** The whole night by virtual hands that see needles, clock and eyepiece only; the truth is looked at here, by the test. */
describe.each([
  ['orchard', new Date('2027-01-15T04:00:00Z')],
  ['woolshed', new Date('2027-01-15T11:00:00Z')],
] as const)('a night in %s', (scene, start) => {
  it('comes from degrees to arcminutes by compass, sights and drift, and knows at each rung how far it is off', () => {
    const night = new VirtualNight(scene, 1, start);
    const { world } = night;
    const errorsInSigmas = (): [number, number] => {
      const { altitudeErrorRad, azimuthErrorRad, axisCovariance } = night.answer();
      const truth = world.truth();
      return [
        (altitudeErrorRad - truth.altitudeErrorRad) / Math.sqrt(axisCovariance[0]),
        (azimuthErrorRad - truth.azimuthErrorRad) / Math.sqrt(axisCovariance[3]),
      ];
    };
    const expectHonest = () => errorsInSigmas().forEach((error) => expect(Math.abs(error)).toBeLessThan(3.5));
    const firstRad = world.truth().distanceRad;
    expect(firstRad / arcminute).toBeGreaterThan(120);

    night.nudge(5 * arcminute);
    night.noteCompass();
    expectHonest();
    expect(world.truth().distanceRad).toBeLessThan(firstRad / 2);

    night.takeSights(6);
    expectHonest();
    // One night: the median over many is about 2.5' on the sky (tests/bench/night.bench.ts).
    expect(night.answer().axisCovariance[3]).toBeLessThan((8 * arcminute) ** 2);
    night.takeOver();
    night.nudge(2 * arcminute);

    night.watchDrift(5);
    expectHonest();
    expect(night.answer().axisCovariance[0]).toBeLessThan((2 * arcminute) ** 2);
    night.takeOver();
    night.nudge(1.5 * arcminute);
    expectHonest();
    expect(world.truth().distanceRad / arcminute).toBeLessThan(10);
  });

  it('tells by stars and level that somebody walked into the tripod, and where the axis stands since', () => {
    const night = new VirtualNight(scene, 2, start);
    const { world } = night;
    night.nudge(5 * arcminute);
    night.noteCompass();
    night.takeSights(6, (taken) => void (taken === 3 && world.hands.bump(degree)));
    const [sights] = night.log.filter(({ kind }) => kind === 'sights');
    expect(sights.kind === 'sights' && sights.words).toMatch(/shifted between sight [2-4] and [3-5] or near there/);
    const { altitudeErrorRad, azimuthErrorRad, axisCovariance } = night.answer();
    const truth = world.truth();
    expect(Math.abs(altitudeErrorRad - truth.altitudeErrorRad) / Math.sqrt(axisCovariance[0])).toBeLessThan(3.5);
    expect(Math.abs(azimuthErrorRad - truth.azimuthErrorRad) / Math.sqrt(axisCovariance[3])).toBeLessThan(3.5);
    expect(truth.distanceRad).toBeGreaterThan(20 * arcminute);
  });
});
