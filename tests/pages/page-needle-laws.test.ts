import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { NeedleMotion } from '../../host/web/page/motion.ts';
import { referenceHz, toneFor } from '../../host/words/tone.ts';

const frameS = 1 / 60;
const damping = 0.85;
const naturalRadPerS = 16;

function settle(needle: NeedleMotion, seconds: number, stepS = frameS): number[] {
  const path: number[] = [];
  for (let time = 0; time < seconds; time += stepS) {
    needle.step(stepS);
    path.push(needle.valueDeg);
  }
  return path;
}

describe('the motion of a needle', () => {
  it('overshoots as a second-order system of its damping does (Ogata, Modern Control Engineering, step response)', () => {
    const needle = new NeedleMotion();
    needle.aim(0);
    needle.aim(1);
    const path = settle(needle, 3);
    const overshoot = Math.exp((-Math.PI * damping) / Math.sqrt(1 - damping ** 2));
    expect(Math.max(...path) - 1).toBeGreaterThan(0);
    expect(Math.max(...path) - 1).toBeCloseTo(overshoot, 2);
    const settlingS = 4 / (damping * naturalRadPerS);
    for (const value of path.slice(Math.ceil(settlingS / frameS))) expect(Math.abs(value - 1)).toBeLessThan(0.02);
  });

  it('moves alike on a slow and on a fast screen', () => {
    const [slow, fast] = [1 / 20, 1 / 120].map((stepS) => {
      const needle = new NeedleMotion();
      needle.aim(0);
      needle.aim(1);
      return settle(needle, 0.2, stepS).at(-1) ?? NaN;
    });
    expect(slow).toBeCloseTo(fast, 1);
  });

  it('takes the shorter arc, whatever the two directions are', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -179, max: 179, noNaN: true }),
        fc.double({ min: -179, max: 179, noNaN: true }),
        (from, to) => {
          const needle = new NeedleMotion();
          needle.aim(from);
          needle.aim(to);
          let travelled = 0;
          let last = from;
          for (const value of settle(needle, 2)) {
            const step = value - last;
            travelled += step - 360 * Math.round(step / 360);
            last = value;
          }
          const apart = Math.abs(to - from);
          expect(Math.abs(travelled)).toBeCloseTo(Math.min(apart, 360 - apart), 1);
        },
      ),
      { numRuns: 100 },
    );
  });

  it('stands at its aim after the page was hidden', () => {
    const needle = new NeedleMotion();
    needle.aim(0);
    needle.aim(30);
    needle.step(5);
    expect(needle.valueDeg).toBe(30);
    expect(needle.isSettled(45)).toBe(true);
  });
});

describe('the sound of a needle', () => {
  it('is higher for high and east, lower for low and west, by as much', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.05, max: 30, noNaN: true }), (sizeDeg) => {
        const [above, below] = [toneFor(sizeDeg, 0.01), toneFor(-sizeDeg, 0.01)];
        expect(above.pitchHz).toBeGreaterThan(referenceHz);
        expect(above.pitchHz * below.pitchHz).toBeCloseTo(referenceHz ** 2, 3);
        expect(above.beatsPerS).toBe(below.beatsPerS);
      }),
    );
  });

  it('closes in and quickens toward zero, and is steady within what is known', () => {
    const tones = [8, 4, 2, 1, 0.5, 0.1, 0.05].map((deg) => toneFor(deg, 0.01));
    for (let index = 1; index < tones.length; index += 1) {
      expect(tones[index].pitchHz).toBeLessThan(tones[index - 1].pitchHz);
      expect(tones[index].beatsPerS).toBeGreaterThan(tones[index - 1].beatsPerS);
    }
    expect(toneFor(0.3, 0.38)).toEqual({ pitchHz: referenceHz, beatsPerS: 0, steady: true });
  });
});
