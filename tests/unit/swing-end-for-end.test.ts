// The live gathering of a swing whose board is clipped on end for end half-way.
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import { angleBetweenRad, normalise } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { SwingStep } from '../../host/steps/swingStep.ts';
import { exactCalibration, exactDwells, type ExactMount } from './swingExact.ts';

const first: ExactMount = {
  altitudeRad: 0.7,
  magneticAzimuthRad: 0.1,
  fieldNt: 53_000,
  dipRad: 1.1,
  axisInBoard: normalise([1, 0.1, -0.05]),
  ironNt: [2000, -500, 900],
};
const second: ExactMount = { ...first, axisInBoard: normalise([-1, 0.05, 0.08]) };
const rolls = Array.from({ length: 8 }, (_, i) => i * 30 * degree);

/** Feeds rests of two seconds, each ended by a turn that no dwell outlives. */
class Feed {
  private readonly random = new Random(3);
  private nowS = 0;
  private readonly step: SwingStep;

  constructor(step: SwingStep) {
    this.step = step;
  }

  rests(mount: ExactMount, at: readonly number[]): void {
    for (const { accelG, fieldNt } of exactDwells(mount, at)) {
      for (let i = 0; i < 100; i += 1) {
        const [ax, ay, az] = this.random.normal3(0.002);
        const [mx, my, mz] = this.random.normal3(300);
        this.nowS += 0.02;
        this.step.offer({
          boardS: this.nowS,
          accelG: [accelG[0] + ax, accelG[1] + ay, accelG[2] + az],
          fieldNt: [fieldNt[0] + mx, fieldNt[1] + my, fieldNt[2] + mz],
        } satisfies TimedReading);
      }
    }
  }
}

describe('a swing with the board clipped on end for end', () => {
  it('is not spoilt by a rest that came before the word, nor does it lose one that belongs', () => {
    const results = [false, true].map((isLate) => {
      const step = new SwingStep(exactCalibration(first));
      const feed = new Feed(step);
      feed.rests(first, rolls);
      if (isLate) feed.rests(second, rolls.slice(0, 1));
      step.turnEndForEnd();
      feed.rests(second, rolls);
      return step.finish();
    });
    for (const { accepted, misfit, axisInBoard, rollRad, axisAltitudeRad, covariance } of results) {
      expect(accepted).toBe(true);
      expect(misfit).toBeLessThan(2);
      expect(angleBetweenRad(axisInBoard, second.axisInBoard)).toBeLessThan(3 * arcminute);
      expect(rollRad).toHaveLength(16);
      expect(Math.abs(axisAltitudeRad - first.altitudeRad)).toBeLessThan(3 * Math.sqrt(covariance[0]));
    }
  });

  it('leaves out, and counts, rests on the base before it was clipped on and after it was taken off', () => {
    const step = new SwingStep(exactCalibration(first));
    const feed = new Feed(step);
    const base: ExactMount = { ...first, altitudeRad: 0.02, axisInBoard: [1, 0, 0] };
    feed.rests(base, [0]);
    feed.rests(first, rolls);
    expect(step.progress()).toMatchObject({ dwells: 8, leftOut: 1 });
    expect(step.progress().instruction).toMatch(/Enough/);
    feed.rests(base, [0.5]);
    const result = step.finish();
    expect(result.accepted).toBe(true);
    expect(result.rollRad).toHaveLength(8);
    expect(angleBetweenRad(result.axisInBoard, first.axisInBoard)).toBeLessThan(3 * arcminute);
  });

  it('does not leave out a rest in the midst of the others: then something moved, and that is refused', () => {
    const step = new SwingStep(exactCalibration(first));
    const feed = new Feed(step);
    feed.rests(first, rolls.slice(0, 4));
    feed.rests({ ...first, altitudeRad: 0.3 }, [1.9]);
    feed.rests(first, rolls.slice(4));
    expect(step.progress().leftOut).toBe(0);
    expect(step.finish().accepted).toBe(false);
  });
});
