import { describe, expect, it } from 'vitest';
import { degree, wrapPi } from '../../calibration/angle.ts';
import { toNed, fromNed } from '../../calibration/polarAxis.ts';
import { azimuthBySun, sunInBoard, usualShadowSigmas } from '../../calibration/sun.ts';
import {
  apply,
  multiply,
  normalise,
  rotationAbout,
  transpose,
  type Vector3,
  vector3,
} from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

/** A board at a random attitude in sunlight; what gravity and shadow it gives, and where its x axis really points. */
function scene(random: Random) {
  for (;;) {
    const attitude = multiply(
      rotationAbout([0, 0, 1], random.between(0, 2 * Math.PI)),
      multiply(rotationAbout(random.direction(), random.between(0, 50 * degree)), rotationAbout([1, 0, 0], Math.PI)),
    );
    const sun = { altitudeRad: random.between(5, 60) * degree, azimuthRad: random.between(0, 360) * degree };
    const inBoard = apply(transpose(attitude), toNed(sun));
    if (inBoard[2] < 0.1) continue;
    const accelG = apply(transpose(attitude), [0, 0, -1]);
    const shadowRad = Math.atan2(-inBoard[1], -inBoard[0]);
    return { sun, inBoard, shadow: { accelG, shadowRad }, azimuthRad: fromNed(apply(attitude, [1, 0, 0])).azimuthRad };
  }
}

const axis: Vector3 = [1, 0, 0];

describe('the shadow of a pin', () => {
  it('gives the direction of the Sun and the azimuth of the axis at any tilt, or says that two directions fit', () => {
    const random = new Random(21);
    let found = 0;
    for (let i = 0; i < 300; i += 1) {
      const { sun, inBoard, shadow, azimuthRad } = scene(random);
      try {
        expect(sunInBoard(shadow, sun.altitudeRad)).toEqual(inBoard.map((part) => expect.closeTo(part, 9)));
        expect(wrapPi(azimuthBySun(shadow, sun, axis).azimuthRad - azimuthRad)).toBeCloseTo(0, 9);
        found += 1;
      } catch (error) {
        if (!(error instanceof RangeError)) throw error;
        expect(error.message).toContain('two directions');
      }
    }
    expect(found).toBeGreaterThan(200);
  });

  it('states a sigma that holds 64 to 72 in 100 of 1,500 readings', () => {
    const random = new Random(22);
    let within = 0;
    let count = 0;
    while (count < 1500) {
      const { sun, shadow, azimuthRad } = scene(random);
      const { shadowRad, tiltRad } = usualShadowSigmas;
      const noise = random.normal3(tiltRad);
      const read = {
        shadowRad: shadow.shadowRad + shadowRad * random.normal(),
        accelG: normalise(vector3(shadow.accelG.map((part, j) => part + noise[j]))),
      };
      try {
        const answer = azimuthBySun(read, sun, axis);
        // where the shadow hardly tells, the sigma grows beyond what a first derivative can say
        if (answer.sigmaAzimuthRad > 3 * degree) continue;
        count += 1;
        if (Math.abs(wrapPi(answer.azimuthRad - azimuthRad)) < answer.sigmaAzimuthRad) within += 1;
      } catch (error) {
        if (!(error instanceof RangeError)) throw error;
      }
    }
    expect(within / count).toBeGreaterThan(0.64);
    expect(within / count).toBeLessThan(0.72);
  });

  it('refuses a shadow that the Sun cannot throw', () => {
    // The face is level, so the Sun stands at its altitude over the face whatever the shadow; edge-on it cannot be high.
    const edge = { accelG: [1, 0, 0] as Vector3, shadowRad: Math.PI / 2 };
    expect(() => sunInBoard(edge, 40 * degree)).toThrow(RangeError);
  });

  it('on a level face is as good as the shadow is read', () => {
    const level = { accelG: [0, 0, 1] as Vector3, shadowRad: 30 * degree };
    const { azimuthRad, sigmaAzimuthRad } = azimuthBySun(level, { altitudeRad: 0.6, azimuthRad: 200 * degree }, axis);
    // The Sun stands opposite the shadow: 210 degrees round from x toward y, which is anticlockwise from above.
    expect(azimuthRad / degree).toBeCloseTo((200 + 210) % 360, 6);
    expect(sigmaAzimuthRad).toBeCloseTo(
      Math.hypot(usualShadowSigmas.shadowRad, usualShadowSigmas.tiltRad * Math.tan(0.6)),
      4,
    );
  });
});
