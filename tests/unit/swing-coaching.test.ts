// How long the swing asks each rest to last: by the noise of the chip itself.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { readingsWanted, sigmaOfMean } from '../../calibration/swing/restNoise.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { SwingStep } from '../../host/steps/swingStep.ts';
import { exactCalibration, exactDwells, type ExactMount } from './swingExact.ts';

const mount: ExactMount = {
  altitudeRad: 0.7,
  magneticAzimuthRad: 0.1,
  fieldNt: 53_000,
  dipRad: 1.1,
  axisInBoard: [1, 0, 0],
  ironNt: [0, 0, 0],
};

/** A board that lies still at one place of the axis. */
function rest(step: SwingStep, noiseG: number, hz: number, seconds: number, rollDeg: number, fromS: number): void {
  const random = new Random(rollDeg + 1);
  const [{ accelG, fieldNt }] = exactDwells(mount, [rollDeg * degree]);
  for (let i = 0; i < seconds * hz; i += 1) {
    const [x, y, z] = random.normal3(noiseG);
    step.offer({ boardS: fromS + i / hz, accelG: [accelG[0] + x, accelG[1] + y, accelG[2] + z], fieldNt });
  }
}

describe('a rest that is long enough', () => {
  it.each([0.0005, 0.002, 0.004])('tells gravity to about an arcminute with a noise of %s g', (noiseG) => {
    expect(sigmaOfMean(noiseG, readingsWanted(noiseG), 0)).toBeLessThan(1.02 * (degree / 60));
  });

  it('is not longer than wander lets averaging help', () => {
    expect(readingsWanted(0.02)).toBeCloseTo(400, 6);
  });

  it.each([
    [0.002, 50, 2],
    [0.004, 50, 8],
    [0.004, 100, 4],
  ])('with a noise of %s g at %i samples a second is one of about %i seconds', (noiseG, hz, seconds) => {
    const step = new SwingStep(exactCalibration(mount));
    rest(step, noiseG, hz, 1.6, 0, 0);
    expect(Math.abs(step.progress().restWantedS - seconds)).toBeLessThanOrEqual(1.5);
    expect(step.progress().restCounts).toBe(seconds === 2);
    rest(step, noiseG, hz, seconds, 0, 1.6);
    expect(step.progress().restCounts).toBe(true);
  });
});

describe('a swing with a noisy chip', () => {
  it('asks for the long rests, and for more places while the axis is not known to 3 arcminutes', () => {
    const step = new SwingStep(exactCalibration(mount));
    const instructions: string[] = [];
    for (let i = 0; i < 16; i += 1) {
      rest(step, 0.012, 50, 1.6, 15 * i, 20 * i);
      instructions.push(step.progress().instruction);
      rest(step, 0.012, 50, 9, 15 * i, 20 * i + 1.6);
      instructions.push(step.progress().instruction);
    }
    expect(instructions[0]).toMatch(/Let it rest for 9 seconds/);
    expect(instructions).toContainEqual(expect.stringMatching(/as far as there is room.*uncertain by more than 3′/));
    expect(instructions.at(-1)).toMatch(/Enough/);
  });
});
