import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { StepWatch } from '../../calibration/live/stepWatch.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

/** What the watch says of an azimuth over time that the needle follows by a jump at `jumpS`; noise of 0.3 degree a sample. */
function judged(azimuthDegAt: (timeS: number) => number, jumpS: number, hz = 100): { stepDeg: number; atS: number }[] {
  const watch = new StepWatch();
  const random = new Random(4);
  const steps: { stepDeg: number; atS: number }[] = [];
  for (let i = 0; i < 4 * hz; i += 1) {
    const timeS = i / hz;
    const azimuthRad = (azimuthDegAt(timeS) + 0.3 * random.normal()) * degree;
    const stepRad = watch.offer(azimuthRad, timeS, Math.abs(timeS - jumpS) < 0.5 / hz);
    if (stepRad !== 0) steps.push({ stepDeg: stepRad / degree, atS: timeS });
  }
  return steps;
}
const ramp = (fromS: number, rate: number, most: number) => (timeS: number) =>
  Math.sign(rate) * Math.min(Math.max(timeS - fromS, 0) * Math.abs(rate), most);

describe('a step of the azimuth', () => {
  it.each([
    [3, 100],
    [-1.6, 100],
    [5, 50],
    [5, 20],
  ])(
    'of %d degrees is told with its side and size, half a second after the jump, at %d samples a second',
    (size, hz) => {
      const steps = judged((timeS) => (timeS < 2 ? 0.7 : 0.7 + size), 2.1, hz);
      expect(steps).toHaveLength(1);
      expect(steps[0].stepDeg).toBeGreaterThan(size - 0.25);
      expect(steps[0].stepDeg).toBeLessThan(size + 0.25);
      expect(steps[0].atS).toBeCloseTo(2.6, 1);
    },
  );

  it('is nothing where it is smaller than a degree, or where the needle did not jump', () => {
    expect(judged((timeS) => (timeS < 2 ? 0 : 0.7), 2.1)).toEqual([]);
    expect(judged((timeS) => (timeS < 2 ? 0 : 3), 99)).toEqual([]);
  });

  it('is none where the last samples alone are off, which is noise: it would be called iron for hours', () => {
    // the needle jumps at 2.1 s and is judged at 2.6 s
    for (const lastS of [0.01, 0.03, 0.2])
      expect(judged((timeS) => (timeS > 2.605 - lastS && timeS < 2.605 ? 2.5 : 0), 2.1)).toEqual([]);
  });

  it.each([
    [2.9, 3],
    [-2, 1.8],
    [1, 5],
  ])('is none where a hand turns at %d degrees a second by %d degrees', (rate, most) => {
    expect(judged(ramp(2, rate, most), 2.3)).toEqual([]);
  });

  it('is one where the turn is faster than any hand', () => {
    expect(judged(ramp(2, 30, 3), 2.1)).toHaveLength(1);
  });

  it('is judged by readings after a restart only', () => {
    const watch = new StepWatch();
    for (let i = 0; i < 100; i += 1) watch.offer(0, i / 100, false);
    watch.restart();
    let steps = 0;
    for (let i = 0; i < 200; i += 1) steps += watch.offer(3 * degree, 5 + i / 100, i === 5) === 0 ? 0 : 1;
    expect(steps).toBe(0);
  });
});
