// Reversal of a level (surveying handbooks, common practice): half the difference is the tilt, half the sum the instrument's own.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { fitLevel } from '../../calibration/level.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';

const lying = (x: number, y: number): { accelG: Vector3; sigmaAccelG: number } => ({
  accelG: [x, y, Math.sqrt(1 - x * x - y * y)],
  sigmaAccelG: 0.0003,
});

describe('level by reversal', () => {
  it('splits readings into tilt and the instrument, as the handbook does', () => {
    // reads 12 and 4 milliradians along x: tilt 4 up in the north, instrument 8; along y 1 and 5: west low by 2, instrument 3
    const level = fitLevel(lying(Math.sin(0.012), Math.sin(0.001)), lying(Math.sin(0.004), Math.sin(0.005)), 0.7);
    expect(level.northHighRad).toBeCloseTo(0.004, 9);
    expect(level.eastHighRad).toBeCloseTo(0.002, 9);
    expect(level.offsetRad[0]).toBeCloseTo(0.008, 9);
    expect(level.offsetRad[1]).toBeCloseTo(0.003, 9);
  });

  it('stops at a board on its edge and cautions at a steep base', () => {
    expect(fitLevel({ accelG: [0, 1, 0], sigmaAccelG: 0.001 }, lying(0, 0), 0.7).accepted).toBe(false);
    const steep = fitLevel(lying(0.06, 0), lying(-0.06, 0), 0.7);
    expect(steep.gates.map(({ verdict }) => verdict)).toContain('caution');
  });

  it.each(['orchard', 'woolshed'] as const)('foretells what the bolts of the virtual mount do in %s', (scene) => {
    const world = createWorld(scene, { seed: 2 });
    const poleAltitudeRad = Math.abs(world.scene.place.latitudeRad);
    const seen = ([0, 180] as const).map((degrees) => {
      world.advanceTo(world.hands.layOnBase(degrees));
      return { accelG: world.sensed(world.pose.attitude).accelG, sigmaAccelG: 0.0003 };
    });
    const level = fitLevel(seen[0], seen[1], poleAltitudeRad);
    const turned = (bolt: 'altitude' | 'azimuth'): { altitude: number; azimuth: number } => {
      // a first turn takes up the play
      world.advanceTo(world.hands.turnBolt(bolt, 0.5));
      const before = world.truth();
      world.advanceTo(world.hands.turnBolt(bolt, 0.5));
      const after = world.truth();
      return {
        altitude: after.altitudeErrorRad - before.altitudeErrorRad,
        azimuth: after.azimuthErrorRad - before.azimuthErrorRad,
      };
    };
    expect(level.tiltRad).toBeGreaterThan(1 * degree);
    const azimuth = turned('azimuth');
    expect(azimuth.altitude / azimuth.azimuth).toBeCloseTo(level.altitudePerAzimuth, 2);
    const altitude = turned('altitude');
    expect(altitude.azimuth / altitude.altitude).toBeCloseTo(level.azimuthPerAltitude, 2);
  });
});
