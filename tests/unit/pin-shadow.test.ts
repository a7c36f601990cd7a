import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { apply, transpose } from '../../calibration/vector.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { pinShadowOf } from '../../host/live/pinShadow.ts';
import { judgeShadow, requireLikely, requireShadow } from '../../host/steps/sunSight.ts';
import { shadowScale } from '../../host/terminal/shadowScale.ts';

const date = new Date('2026-11-29T00:00:00Z');

describe('the shadow on a virtual board', () => {
  it.each(['orchard', 'woolshed'] as const)(
    'can be read in the scene %s at any hour, and tells the azimuth',
    (scene) => {
      const pulls: number[] = [];
      let otherHours = 0;
      for (let hour = 0; hour < 24; hour += 1) {
        const world = createWorld(scene, { seed: hour + 1, date });
        const now = new Date(date.getTime() + hour * 3_600_000);
        const shadow = pinShadowOf(world, () => now);
        const seen = shadow.see()!;
        const read = shadow.read()!;
        expect(seen.utc.getTime() > now.getTime()).toBe(seen.isOtherHour);
        otherHours += seen.isOtherHour ? 1 : 0;
        const halves = (2 * read.shadowRad) / degree;
        expect(halves).toBeCloseTo(Math.round(halves), 6);
        const found = judgeShadow(
          {
            accelG: apply(transpose(world.pose.attitude), [0, 0, -1]),
            axisInBoard: world.axisInBoard(),
            utc: read.utc,
            shadowRad: read.shadowRad,
          },
          scenes[scene].place,
        );
        expect(found.sun.altitudeRad).toBeGreaterThan(7.5 * degree);
        pulls.push((found.azimuthErrorRad - world.truth().azimuthErrorRad) / found.sigmaAzimuthRad);
      }
      expect(Math.max(...pulls.map(Math.abs))).toBeLessThan(3.5);
      expect(Math.hypot(...pulls) / Math.sqrt(pulls.length)).toBeGreaterThan(0.5);
      // the Sun is up for about nine hours in the north then, for fifteen in the south
      expect(otherHours).toBeGreaterThan(6);
      expect(otherHours).toBeLessThan(21);
    },
  );

  it('is looked at for the instant that is asked, and nowhere else', () => {
    const world = createWorld('orchard', { seed: 3, date });
    const shadow = pinShadowOf(world, () => date);
    const seen = shadow.see()!;
    expect(shadow.see(seen.utc)).toMatchObject({ shadowRad: seen.shadowRad, isOtherHour: false });
    expect(shadow.see(new Date('2026-11-29T08:00:00Z'))).toBeUndefined();
  });

  it('is not there in the polar night, nor while the board is off its clip', () => {
    const place = { ...scenes.orchard.place, latitudeRad: 78 * degree };
    expect(pinShadowOf(createWorld({ ...scenes.orchard, place }, { date }), () => date).see()).toBeUndefined();
    const world = createWorld('orchard', { date });
    const shadow = pinShadowOf(world, () => date);
    expect(shadow.see()).toBeDefined();
    world.advanceTo(world.hands.layOnBase(0));
    expect(shadow.see()).toBeUndefined();
  });

  it('is refused where the Sun is too low, or the compass says that something else was read', () => {
    const { place } = scenes.orchard;
    expect(() => requireShadow(place, new Date('2026-11-29T08:00:00Z'))).toThrow(
      /The Sun is \d+\.\d° below the horizon/,
    );
    expect(requireShadow(place, new Date('2026-11-29T20:00:00Z')).altitudeRad).toBeGreaterThan(15 * degree);
    expect(() => requireLikely(47 * degree)).toThrow(/The shadow and the compass differ by 47°/);
    expect(() => requireLikely(-190 * degree)).toThrow(/differ by 170°/);
    for (const deg of [43, -43, 320]) expect(() => requireLikely(deg * degree)).not.toThrow();
  });

  it('is drawn on its scale to half a degree', () => {
    expect(shadowScale(68.4)).toEqual([
      '          60                  70                  80',
      ': . . . . | . . . . : . . . . | . . . . : . . . . | . . . . :',
      `${' '.repeat(27)}^`,
    ]);
    expect(shadowScale(-3)[0].trim().split(/\s+/)).toEqual(['350', '0', '10']);
    expect(shadowScale(-3)[2]).toBe(`${' '.repeat(24)}^`);
  });
});
