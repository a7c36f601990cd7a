// Reversal of a level (surveying handbooks, common practice): half the difference is the tilt, half the sum the instrument's own.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { decisive } from '../../calibration/gate.ts';
import { fitLevel, type LyingReading } from '../../calibration/level.ts';
import { add, normalise, scale, subtract, type Vector3 } from '../../calibration/vector.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { levelPlace } from '../../host/steps/levelStep.ts';

const lying = (x: number, y: number): { accelG: Vector3; sigmaAccelG: number } => ({
  accelG: [x, y, Math.sqrt(1 - x * x - y * y)],
  sigmaAccelG: 0.0003,
});

const place = { poleAltitudeRad: 0.81, fieldNt: 52_000, dipRad: Math.atan2(48, 20), variationRad: 14 * degree };

/** A board with its x axis at this heading on a base that is high by so much in north and east; no truth but these. */
const lyingAt = (headingRad: number, northHighRad: number, eastHighRad: number): LyingReading => {
  const [c, s] = [Math.cos(headingRad), Math.sin(headingRad)];
  const level = place.fieldNt * Math.cos(place.dipRad);
  const up = normalise([c * northHighRad + s * eastHighRad, s * northHighRad - c * eastHighRad, 1]);
  const left = headingRad - place.variationRad;
  const flat: Vector3 = [level * Math.cos(left), level * Math.sin(left), 0];
  const down = place.fieldNt * Math.sin(place.dipRad);
  // a chip whose zero is off by as much as the field itself, and which no calibration took away
  const fieldNt = add(add(flat, scale(up, -down)), [50_000, -30_000, 20_000]);
  return { accelG: up, sigmaAccelG: 0.0003, fieldNt };
};
const [northHigh, eastHigh] = [-0.5 * degree, 1.2 * degree];
const settings = (fromDeg: number, toDeg: number) =>
  fitLevel(lyingAt(fromDeg * degree, northHigh, eastHigh), lyingAt(toDeg * degree, northHigh, eastHigh), place);

describe('how the board was set, by a magnetometer without any calibration', () => {
  it('refuses a quarter turn, and says what was expected', () => {
    const level = settings(0, 90);
    expect(level.accepted).toBe(false);
    expect(level.turnRad! / degree).toBeCloseTo(90, 0);
    expect(decisive(level.gates)).toMatchObject({
      verdict: 'stop',
      limit: 110,
      reason: expect.stringMatching(/half a turn/),
    });
    expect(settings(0, -90).accepted).toBe(false);
  });

  it('refuses a board that was not turned, one with x toward east, and south before north', () => {
    for (const [from, to] of [[0, 0], [90, 270], [180, 0]]) expect(settings(from, to).accepted).toBe(false); // prettier-ignore
  });

  it.each([
    [0, 180],
    [-6, 176],
    [8, 190],
    [0, 165],
    [0, 200],
    [12, 192],
  ])('takes %i and then %i degrees, and what that does to the tilt lies in the stated band', (from, to) => {
    const level = settings(from, to);
    expect(level.accepted).toBe(true);
    const off = Math.hypot(level.northHighRad - northHigh, level.eastHighRad - eastHigh);
    expect(off).toBeLessThan(2 * level.sigmaTiltRad);
    expect(level.sigmaTiltRad).toBeLessThan(0.3 * level.tiltRad);
  });

  it('tells the turn by the headings of calibrated readings, where iron at the base halves the level field', () => {
    const weak = (deg: number, isFieldCalibrated: boolean): LyingReading => {
      const { accelG, fieldNt } = lyingAt(deg * degree, 0, 0);
      const [x, y, z] = subtract(fieldNt!, [50_000, -30_000, 20_000]);
      return { accelG, sigmaAccelG: 0.0003, fieldNt: [x / 2, y / 2, z], isFieldCalibrated };
    };
    const turned = (to: number, isCalibrated: boolean) =>
      fitLevel(weak(0, isCalibrated), weak(to, isCalibrated), place);
    expect(turned(180, false)).toMatchObject({ accepted: false });
    expect(decisive(turned(180, false).gates)?.nextAction).toMatch(/base itself is of iron .* tumble the board first/);
    expect(turned(180, true)).toMatchObject({ accepted: true });
    expect(turned(180, true).turnRad! / degree).toBeCloseTo(180, 6);
    expect(turned(90, true)).toMatchObject({ accepted: false });
    expect(turned(90, true).turnRad! / degree).toBeCloseTo(90, 6);
  });

  it('cannot tell without one', () => {
    const [a, b] = [0, 90].map((deg) => ({ ...lyingAt(deg * degree, northHigh, eastHigh), fieldNt: undefined }));
    expect(fitLevel(a, b, place)).toMatchObject({ accepted: true });
    expect(fitLevel(a, b, place).turnRad).toBeUndefined();
  });
});

describe('level by reversal', () => {
  it('splits readings into tilt and the instrument, as the handbook does', () => {
    // reads 12 and 4 milliradians along x: tilt 4 up in the north, instrument 8; along y 1 and 5: west low by 2, instrument 3
    const level = fitLevel(lying(Math.sin(0.012), Math.sin(0.001)), lying(Math.sin(0.004), Math.sin(0.005)), place);
    expect(level.northHighRad).toBeCloseTo(0.004, 9);
    expect(level.eastHighRad).toBeCloseTo(0.002, 9);
    expect(level.offsetRad[0]).toBeCloseTo(0.008, 9);
    expect(level.offsetRad[1]).toBeCloseTo(0.003, 9);
  });

  it('stops at a board on its edge and cautions at a steep base', () => {
    expect(fitLevel({ accelG: [0, 1, 0], sigmaAccelG: 0.001 }, lying(0, 0), place).accepted).toBe(false);
    const steep = fitLevel(lying(0.06, 0), lying(-0.06, 0), place);
    expect(steep.gates.map(({ verdict }) => verdict)).toContain('caution');
  });

  it.each(['orchard', 'woolshed'] as const)('foretells what the bolts of the virtual mount do in %s', (scene) => {
    const world = createWorld(scene, { seed: 2 });
    const seen = ([0, 180] as const).map((degrees) => {
      world.advanceTo(world.hands.layOnBase(degrees));
      return { ...world.sensed(world.pose.attitude), sigmaAccelG: 0.0003 };
    });
    const level = fitLevel(seen[0], seen[1], levelPlace(world.scene.place, new Date()));
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
    expect(level.accepted).toBe(true);
    expect(level.turnRad! / degree).toBeGreaterThan(140);
    expect(level.tiltRad).toBeGreaterThan(1 * degree);
    const azimuth = turned('azimuth');
    expect(azimuth.altitude / azimuth.azimuth).toBeCloseTo(level.altitudePerAzimuth, 2);
    const altitude = turned('altitude');
    expect(altitude.azimuth / altitude.altitude).toBeCloseTo(level.azimuthPerAltitude, 2);
  });
});
