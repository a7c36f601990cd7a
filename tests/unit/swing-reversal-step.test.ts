// The live gathering where nothing turns: a rest in the clip, one end for end.
import { describe, expect, it } from 'vitest';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import type { Dwell } from '../../calibration/swing/types.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { ReversalStep } from '../../host/steps/reversalStep.ts';
import { exactCalibration, exactDwells, type ExactMount } from './swingExact.ts';

const first: ExactMount = {
  altitudeRad: 0.7,
  magneticAzimuthRad: 0.1,
  fieldNt: 53_000,
  dipRad: 1.1,
  axisInBoard: [1, 0, 0],
  ironNt: [0, 0, 0],
};
const second: ExactMount = { ...first, axisInBoard: [-1, 0, 0] };
const biasG = 0.01;
const random = new Random(7);

/** The board's z axis as far up as it goes. */
function upright(mount: ExactMount): Dwell {
  const rolls = Array.from({ length: 361 }, (_, i) => (i * Math.PI) / 180);
  return exactDwells(mount, rolls).reduce((best, next) => (next.accelG[2] > best.accelG[2] ? next : best));
}

function* rest(mount: ExactMount, fromS: number, seconds = 2): Generator<TimedReading> {
  const { accelG, fieldNt } = upright(mount);
  for (let i = 0; i < seconds * 50; i += 1) {
    const [ax, ay, az] = random.normal3(0.002);
    const [mx, my, mz] = random.normal3(300);
    yield {
      boardS: fromS + i / 50,
      accelG: [accelG[0] + biasG + ax, accelG[1] + ay, accelG[2] + az],
      fieldNt: [fieldNt[0] + mx, fieldNt[1] + my, fieldNt[2] + mz],
    };
  }
}

const stepFor = (): ReversalStep => new ReversalStep(exactCalibration(first, { accelBiasG: 0.02 }));

describe('a clip turned end for end on a part that does not turn', () => {
  it('is told what to do, and takes out a bias along the axis', () => {
    const step = stepFor();
    expect(step.progress()).toMatchObject({ isEnough: false, instruction: expect.stringMatching(/Hands off/) });
    for (const reading of rest(first, 0)) step.offer(reading);
    expect(step.progress()).toMatchObject({ isEnough: false, instruction: expect.stringMatching(/end for end/) });
    step.turnEndForEnd();
    expect(step.progress().instruction).toMatch(/Hands off/);
    for (const reading of rest(second, 10)) step.offer(reading);
    expect(step.progress()).toMatchObject({ isEnough: true, instruction: expect.stringMatching(/Finish/) });
    const found = step.finish();
    expect(found.accepted).toBe(true);
    expect(Math.abs(found.axisAltitudeRad - first.altitudeRad)).toBeLessThan(3 * Math.sqrt(found.covariance[0]));
    expect(Math.abs(found.axisAltitudeRad - first.altitudeRad)).toBeLessThan(biasG / 3);
  });

  it('leaves out a rest end for end from before it was told, and one the first way round from after', () => {
    const step = stepFor();
    for (const reading of rest(first, 0)) step.offer(reading);
    for (const reading of rest(second, 10)) step.offer(reading);
    step.turnEndForEnd();
    for (const reading of rest(first, 20)) step.offer(reading);
    for (const reading of rest(second, 30)) step.offer(reading);
    const found = step.finish();
    expect(found.accepted).toBe(true);
    expect(found.rollRad).toHaveLength(2);
    expect(Math.abs(found.axisAltitudeRad - first.altitudeRad)).toBeLessThan(biasG / 3);
  });

  it('says which rest is missing', () => {
    const step = stepFor();
    for (const reading of rest(first, 0)) step.offer(reading);
    step.turnEndForEnd();
    expect(() => step.finish()).toThrow(/No rest was found with the board end for end/);
    expect(() => stepFor().finish()).toThrow(/No rest was found with the board the first way round/);
  });
});
