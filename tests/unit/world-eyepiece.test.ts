import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { axisWithErrors, truePole } from '../../calibration/polarAxis.ts';
import { angleBetweenRad } from '../../calibration/vector.ts';
import { VirtualEyepiece } from '../../firmware-proto/virtual/eyepieceAtMount.ts';
import {
  aimAt,
  counterweightIsBelow,
  offsetIn,
  starNed,
  viewOf,
  type TubeSide,
} from '../../firmware-proto/virtual/eyepiece.ts';
import { axisFrameOf } from '../../firmware-proto/virtual/mount.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';

const sides: TubeSide[] = ['east', 'west'];
const siderealRadPerS = (15.041067 / 3600) * degree;

describe.each([47, -33.5])('aiming at latitude %d', (latDeg) => {
  const latitudeRad = latDeg * degree;
  const frame = axisFrameOf(axisWithErrors(truePole(latitudeRad), 0.7 * degree, -1.3 * degree));
  const tube = { coneRad: 14 * arcminute, nonPerpendicularityRad: -11 * arcminute };
  const star = (hourAngleDeg: number, decDeg: number) =>
    starNed(latitudeRad, { hourAngleRad: hourAngleDeg * degree, declinationRad: decDeg * degree });

  it('centres a star exactly from either side, with two different turns of the axis', () => {
    for (const hour of [-80, -20, 5, 60])
      for (const dec of [-50, -10, 35, 70]) {
        const aims = sides.map((side) => aimAt(frame, tube, star(hour, dec), side));
        for (const aim of aims)
          expect(angleBetweenRad(viewOf(frame, tube, aim).forward, star(hour, dec))).toBeLessThan(1e-12);
        const apart = Math.abs(aims[0].axisAngleRad - aims[1].axisAngleRad);
        expect(Math.abs(Math.cos(apart) + 1)).toBeLessThan(0.01);
      }
  });

  it('leaves the counterweight below for the western sky with the tube east, and the other way round', () => {
    for (const [hour, side, below] of [
      [50, 'east', true],
      [50, 'west', false],
      [-50, 'west', true],
      [-50, 'east', false],
    ] as const) {
      expect(counterweightIsBelow(frame, aimAt(frame, tube, star(hour, 10), side))).toBe(below);
    }
  });

  it('shows a star nearer the pole higher in the field, and one further along the day on the proper hand', () => {
    for (const side of sides) {
      const view = viewOf(frame, tube, aimAt(frame, tube, star(20, 10), side));
      const poleward = offsetIn(view, star(20, 10 + Math.sign(latDeg) * 0.1));
      expect(poleward?.upRad).toBeGreaterThan(0.099 * degree);
      // Facing a star with north up, west is on the right; with south up, on the left.
      const later = offsetIn(view, star(20.1, 10));
      expect(Math.sign(later?.rightRad ?? 0)).toBe(Math.sign(latDeg));
      expect(Math.abs(later?.rightRad ?? 0)).toBeCloseTo(0.1 * degree * Math.cos(10 * degree), 4);
    }
  });

  it('refuses what the cone does not let it reach, and shows nothing behind the tube', () => {
    const wide = { coneRad: 1 * degree, nonPerpendicularityRad: 0 };
    const pole = axisWithErrors(truePole(latitudeRad), 0.7 * degree, -1.3 * degree);
    const frameHere = axisFrameOf(pole);
    const onAxis = viewOf(
      frameHere,
      { coneRad: 0, nonPerpendicularityRad: 0 },
      { axisAngleRad: 0, declinationAngleRad: 0 },
    );
    expect(() => aimAt(frameHere, wide, onAxis.forward, 'east')).toThrow(RangeError);
    expect(offsetIn(onAxis, [-onAxis.forward[0], -onAxis.forward[1], -onAxis.forward[2]])).toBeUndefined();
  });
});

describe.each(['orchard', 'woolshed'] as const)('the eyepiece at the mount in %s', (scene) => {
  const starAt = (worldS: number) => ({
    hourAngleRad: -30 * degree + worldS * siderealRadPerS,
    declinationRad: 12 * degree,
  });

  it("has the star centred within the eye's error when the hands say so, and lets it drift away", () => {
    const offsets: number[] = [];
    for (let seed = 0; seed < 60; seed += 1) {
      const world = createWorld(scene, { seed });
      const eyepiece = new VirtualEyepiece(world);
      const doneS = eyepiece.centre(starAt, 'west');
      world.advanceTo(doneS);
      const seen = eyepiece.see(starAt(doneS));
      offsets.push(seen?.rightArcmin ?? NaN, seen?.upArcmin ?? NaN);
      world.advanceTo(doneS + 60);
      const moved = eyepiece.see(starAt(doneS + 60));
      expect(Math.abs((moved?.rightArcmin ?? NaN) - (seen?.rightArcmin ?? NaN))).toBeGreaterThan(14);
    }
    const rms = Math.sqrt(offsets.reduce((sum, offset) => sum + offset * offset, 0) / offsets.length);
    expect(rms).toBeGreaterThan(1.2);
    expect(rms).toBeLessThan(1.8);
  });

  it('keeps the star with the drive going, but for the drift by the error of the axis', () => {
    const world = createWorld(scene, { seed: 4 });
    const eyepiece = new VirtualEyepiece(world, { centringRad: 0 });
    const doneS = eyepiece.centre(starAt, 'west', true);
    world.advanceTo(doneS);
    expect(eyepiece.see(starAt(doneS))?.upArcmin).toBeCloseTo(0, 6);
    world.advanceTo(doneS + 300);
    const seen = eyepiece.see(starAt(doneS + 300));
    // 0.2625 arcseconds a minute for each arcminute of error, at most.
    const mostArcmin = (0.2625 * 5 * (world.truth().distanceRad / arcminute)) / 60;
    expect(Math.abs(seen?.upArcmin ?? NaN)).toBeLessThan(mostArcmin);
    expect(Math.abs(seen?.upArcmin ?? NaN)).toBeGreaterThan(0.02);
  });
});
