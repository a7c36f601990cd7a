import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { StepWatch } from '../../calibration/live/stepWatch.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

const hz = 80;
const beginS = 3;
const noiseRad = 0.5 * degree;

/** The azimuth goes by `sizeDeg` in `lastsS`; the needle follows a tenth of a second later. */
function watched(sizeDeg: number, lastsS: number, seconds = 30) {
  const watch = new StepWatch();
  const random = new Random(7);
  let flaggedDeg = 0;
  const doubtDeg: number[] = [];
  for (let i = 0; i < seconds * hz; i += 1) {
    const sinceS = i / hz - beginS;
    const share = sinceS <= 0 ? 0 : Math.min(sinceS / lastsS, 1);
    const jump = Math.round((beginS + Math.min(0.1 + lastsS / 2, 0.4)) * hz);
    flaggedDeg += watch.offer(share * sizeDeg * degree + noiseRad * random.normal(), i / hz, i === jump) / degree;
    doubtDeg.push(watch.doubtRad / degree);
  }
  return { flaggedDeg, doubtAt: (afterS: number) => doubtDeg[Math.round((beginS + afterS) * hz)] };
}

describe('the watch for steps', () => {
  it('flags a step that is too quick for a hand, with its side, and is then in no doubt', () => {
    for (const size of [1.6, -2.4]) {
      const { flaggedDeg, doubtAt } = watched(size, 1e-9);
      expect(flaggedDeg).toBeCloseTo(size, 0);
      expect(doubtAt(2)).toBe(0);
    }
  });

  it('is in doubt about a step that is too small to be flagged, by half of it, and lets that fade', () => {
    const { flaggedDeg, doubtAt } = watched(0.8, 1e-9);
    expect(flaggedDeg).toBe(0);
    expect(doubtAt(0.5)).toBe(0);
    expect(doubtAt(0.9)).toBeGreaterThan(0.3);
    expect(doubtAt(0.9)).toBeLessThan(0.5);
    // e-fold in twenty seconds
    expect(doubtAt(25) / doubtAt(5)).toBeCloseTo(Math.exp(-1), 2);
  });

  it('drops the doubt at the second look when the bolt has plainly been turned', () => {
    const { flaggedDeg, doubtAt } = watched(2.5, 1.1);
    expect(flaggedDeg).toBe(0);
    expect(doubtAt(2.5)).toBe(0);
  });

  it('says nothing of what is small, or no more than noise', () => {
    for (const size of [0, 0.35]) {
      const { flaggedDeg, doubtAt } = watched(size, 1e-9);
      expect(flaggedDeg).toBe(0);
      expect(doubtAt(0.8)).toBe(0);
    }
  });

  it('forgets the doubt when it starts anew', () => {
    const watch = new StepWatch();
    const random = new Random(7);
    for (let i = 0; i < 4 * hz; i += 1)
      watch.offer((i > 3 * hz ? 0.8 * degree : 0) + noiseRad * random.normal(), i / hz, i === 3.1 * hz);
    expect(watch.doubtRad).toBeGreaterThan(0.3 * degree);
    watch.restart();
    expect(watch.doubtRad).toBe(0);
  });
});
