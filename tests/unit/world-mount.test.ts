import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { fromNed, polarErrors, truePole, type Horizontal } from '../../calibration/polarAxis.ts';
import { apply, determinant, identity3, type Matrix3 } from '../../calibration/vector.ts';
import { axisFrameOf, baseTilt, Mount } from '../../firmware-proto/virtual/mount.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';

const bolts = {
  altitude: { radPerTurn: 1.5 * degree, backlashTurns: 0.1 },
  azimuth: { radPerTurn: 1 * degree, backlashTurns: 0.2 },
};

function mountAt(first: Horizontal, tilt: Matrix3 = identity3, southern = false): Mount {
  const lockedShiftRad = { altitude: 3 * arcminute, azimuth: -2 * arcminute };
  return new Mount({ tilt, southern, bolts, lockedShiftRad, first });
}

function turn(mount: Mount, bolt: 'altitude' | 'azimuth', turns: number): void {
  mount[bolt].wantedTurns += turns;
  for (let i = 0; i < 2000; i += 1) mount.advance(0.01);
}

describe('the axis frame', () => {
  it('has x along the axis, y to the left and z upward across it', () => {
    const north = axisFrameOf({ altitudeRad: 0, azimuthRad: 0 });
    expect(apply(north, [1, 0, 0])).toEqual([1, 0, 0]);
    expect(apply(north, [0, 1, 0])).toEqual([0, -1, 0]);
    expect(apply(north, [0, 0, 1])).toEqual([0, 0, -1]);
    const south = axisFrameOf({ altitudeRad: 30 * degree, azimuthRad: Math.PI });
    expect(fromNed(apply(south, [1, 0, 0])).altitudeRad / degree).toBeCloseTo(30, 12);
    expect(fromNed(apply(south, [0, 1, 0])).azimuthRad / degree).toBeCloseTo(90, 12);
    expect(determinant(south)).toBeCloseTo(1, 12);
  });
});

describe.each([
  ['northern', 47 * degree, 0],
  ['southern', -33.5 * degree, Math.PI],
])('bolts in the %s hemisphere', (_name, latitudeRad, azimuthRad) => {
  const pole = truePole(latitudeRad);
  const errors = (mount: Mount) => polarErrors(mount.polarAxis, pole);
  const fresh = () => mountAt({ altitudeRad: pole.altitudeRad, azimuthRad }, identity3, latitudeRad < 0);

  it('raise the axis and move it toward east when turned forward, less the free play', () => {
    const mount = fresh();
    turn(mount, 'altitude', 1);
    turn(mount, 'azimuth', 1);
    expect(errors(mount).altitudeErrorRad / degree).toBeCloseTo(1.5 * 0.95, 9);
    expect(errors(mount).azimuthErrorRad / degree).toBeCloseTo(0.9, 9);
    expect(Math.sin(mount.polarAxis.azimuthRad)).toBeGreaterThan(0);
  });

  it('do nothing while the free play is taken up, then move the axis back', () => {
    const mount = fresh();
    turn(mount, 'azimuth', 1);
    const before = errors(mount).azimuthErrorRad;
    turn(mount, 'azimuth', -0.2);
    expect(errors(mount).azimuthErrorRad).toBeCloseTo(before, 12);
    turn(mount, 'azimuth', -0.3);
    expect((before - errors(mount).azimuthErrorRad) / degree).toBeCloseTo(0.3, 9);
  });

  it('turn no faster than a hand does, and not at all when locked', () => {
    const mount = fresh();
    mount.altitude.wantedTurns = 4;
    mount.advance(1);
    expect(mount.altitude.turns).toBeCloseTo(0.4, 12);
    mount.altitude.locked = true;
    for (let i = 0; i < 300; i += 1) mount.advance(0.01);
    expect(mount.altitude.turns).toBeCloseTo(0.4, 12);
  });

  it('are loosened by the hand that turns them, and only the one it turns', () => {
    const mount = fresh();
    mount.altitude.locked = true;
    mount.azimuth.locked = true;
    mount.turnBolt('altitude', 1);
    for (let t = 0; t < 5; t += 0.1) mount.advance(0.1);
    expect(mount.altitude.turns).toBeCloseTo(1, 9);
    expect(mount.isLocked).toBe(true);
    mount.turnBolt('azimuth', 1);
    expect(mount.isLocked).toBe(false);
  });

  it('shift the axis when locked and let it back when unlocked', () => {
    const mount = fresh();
    mount.altitude.locked = true;
    for (let i = 0; i < 300; i += 1) mount.advance(0.01);
    expect(errors(mount).altitudeErrorRad / arcminute).toBeCloseTo(3, 9);
    mount.altitude.locked = false;
    for (let i = 0; i < 300; i += 1) mount.advance(0.01);
    expect(errors(mount).altitudeErrorRad).toBeCloseTo(0, 12);
  });
});

describe('a tilted base', () => {
  it('goes down on the side named', () => {
    const tilt = baseTilt(2 * degree, 90 * degree);
    expect(fromNed(apply(tilt, [0, 1, 0])).altitudeRad / degree).toBeCloseTo(-2, 12);
    expect(fromNed(apply(tilt, [1, 0, 0])).altitudeRad / degree).toBeCloseTo(0, 12);
  });

  it('makes the azimuth bolt change the altitude: by the tilt times the turn, the base being low in the east', () => {
    const mount = mountAt({ altitudeRad: 47 * degree, azimuthRad: 0 }, baseTilt(2 * degree, 90 * degree));
    const before = mount.polarAxis.altitudeRad;
    turn(mount, 'azimuth', 3.1);
    // Small-angle form for a hand check: -tilt * sin(azimuth from the line across the tilt).
    const expected = -2 * Math.sin(3 * degree);
    expect((mount.polarAxis.altitudeRad - before) / degree).toBeCloseTo(expected, 2);
  });
});

describe.each(['orchard', 'woolshed'] as const)('scene %s', (name) => {
  const scene = scenes[name];

  it('says that it is invented, and hides its pole', () => {
    expect(scene.words).toMatch(/invented/i);
    const pole = truePole(scene.place.latitudeRad);
    const covers = scene.hidden.some(({ fromAzimuthRad, toAzimuthRad, altitudeRad }) => {
      const width = (toAzimuthRad - fromAzimuthRad + 4 * Math.PI) % (2 * Math.PI);
      const from = (pole.azimuthRad - fromAzimuthRad + 4 * Math.PI) % (2 * Math.PI);
      return from <= width && pole.altitudeRad < altitudeRad;
    });
    expect(covers).toBe(true);
  });

  it('starts with errors within its own limits, different for each seed', () => {
    const errors = Array.from({ length: 50 }, (_, seed) => createWorld(name, { seed }).truth());
    for (const { altitudeErrorRad, azimuthErrorRad } of errors) {
      expect(Math.abs(altitudeErrorRad)).toBeLessThanOrEqual(scene.firstAltitudeErrorRad);
      expect(Math.abs(azimuthErrorRad)).toBeLessThanOrEqual(scene.firstAzimuthErrorRad);
    }
    expect(new Set(errors.map((error) => error.azimuthErrorRad)).size).toBe(50);
  });
});
