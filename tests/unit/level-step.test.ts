// The live gathering of the level: only a board that lies on the base is read.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { identity3, normalise, type Vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { LevelStep, type LevelKnown } from '../../host/steps/levelStep.ts';

const none = { bias: [0, 0, 0] as Vector3, matrix: identity3 };
const random = new Random(5);
const inClip: Vector3 = [Math.sin(47 * degree), 0, Math.cos(47 * degree)];
const place = { poleAltitudeRad: 47 * degree, fieldNt: 52_000, dipRad: Math.atan2(48, 20), variationRad: 0 };
const known: LevelKnown = {
  place,
  correction: { accelerometer: none, magnetometer: none },
  isFieldCalibrated: false,
};
/** The base is half a degree higher in the north; the accelerometer has a bias, which turning round takes away. */
const toward = (sense: 1 | -1): Vector3 => {
  const [x, y, z] = normalise([sense * Math.sin(0.5 * degree), 0, 1]);
  return [x + 0.02, y, z];
};

describe('the board laid on the base', () => {
  it('is asked for until it lies there, and a longer rest in the clip is not taken for it', () => {
    const step = new LevelStep(known);
    let nowS = 0;
    const rest = (up: Vector3, seconds: number, ahead = 1): void => {
      const fieldNt: Vector3 = [ahead * 20_000, 0, -48_000];
      for (let i = 0; i < seconds * 50; i += 1) {
        nowS += 0.02;
        const [x, y, z] = random.normal3(0.001);
        step.offer({ boardS: nowS, accelG: [up[0] + x, up[1] + y, up[2] + z], fieldNt });
      }
    };
    rest(inClip, 10);
    expect(step.progress()).toMatchObject({ restCounts: false, instruction: expect.stringMatching(/Lay the board/) });
    rest(toward(1), 2);
    expect(step.progress()).toMatchObject({ restCounts: true, instruction: expect.stringMatching(/half a turn/) });
    step.turn();
    rest(toward(-1), 2, -1);
    rest(inClip, 10);
    const { tiltRad, northHighRad } = step.finish();
    expect(tiltRad / degree).toBeCloseTo(0.5, 1);
    expect(northHighRad / degree).toBeCloseTo(0.5, 1);
  });

  it('says which rest is missing when it never lay there', () => {
    const step = new LevelStep(known);
    for (let i = 0; i < 200; i += 1) step.offer({ boardS: i / 50, accelG: inClip, fieldNt: [20_000, 0, 48_000] });
    step.turn();
    expect(() => step.finish()).toThrow(/No rest was found with x toward north/);
  });
});
