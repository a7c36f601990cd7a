// The whole evening in both invented scenes, fast: hands that follow nothing but what the samples say.
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import { stepped } from '../../host/commands/runRehearse.ts';
import { swingSite } from '../../host/site/swingSite.ts';
import { wholeFlow } from '../../host/practice/wholeFlow.ts';

const date = new Date('2026-06-01T00:00:00Z');

describe.each(['orchard', 'woolshed'] as const)('a whole evening in %s', (scene) => {
  it.each([1, 2])('tumble, swing, stand-off, nudge and lock end near the pole, seed %i', async (seed) => {
    const world = createWorld(scene, { seed, date, tripodIronNt: 3000 });
    const told: string[] = [];
    const flow = await wholeFlow({
      act: stepped(world).act,
      site: swingSite(world.scene.place, date),
      tell: (line) => told.push(line),
      useModel: () => {},
    });
    const truth = world.truth();
    const { errors, sigmaAltitudeErrorRad, sigmaAzimuthErrorRad } = flow.locked;
    expect(Math.abs(errors.altitudeErrorRad - truth.altitudeErrorRad)).toBeLessThan(3.5 * sigmaAltitudeErrorRad);
    expect(Math.abs(errors.azimuthErrorRad - truth.azimuthErrorRad)).toBeLessThan(3.5 * sigmaAzimuthErrorRad);
    expect(sigmaAltitudeErrorRad).toBeLessThan(4 * arcminute);
    expect(sigmaAzimuthErrorRad).toBeLessThan(0.6 * degree);
    expect(Math.abs(flow.nudged.errors.altitudeErrorRad)).toBeLessThan(6 * arcminute);
    expect(truth.distanceRad).toBeLessThan(Math.max(flow.first.errors.distanceRad / 2, 1.2 * degree));
    expect(Math.abs(flow.knobs.altitude.radPerTurn / world.mount.altitude.make.radPerTurn - 1)).toBeLessThan(0.1);
    expect(Math.abs(flow.knobs.azimuth.radPerTurn / world.mount.azimuth.make.radPerTurn - 1)).toBeLessThan(0.25);
    expect(told.join('\n')).toMatch(/TUMBLE[^]*SWING[^]*STAND-OFF[^]*NUDGE[^]*LOCK[^]*At the end/);
  });

  it('a rehearsal knows the axis of the same virtual board', () => {
    const { swing } = rehearseFast(scene, { seed: 9, date });
    const truth = createWorld(scene, { seed: 9, date }).truth();
    const [altitude, , , azimuth] = swing.errorCovariance ?? [];
    expect(swing.accepted).toBe(true);
    expect(Math.abs(swing.errors!.altitudeErrorRad - truth.altitudeErrorRad)).toBeLessThan(3.5 * Math.sqrt(altitude));
    expect(Math.abs(swing.errors!.azimuthErrorRad - truth.azimuthErrorRad)).toBeLessThan(3.5 * Math.sqrt(azimuth));
  });
});
