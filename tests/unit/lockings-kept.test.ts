import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { arcminute } from '../../calibration/angle.ts';
import type { SeenShift } from '../../calibration/nudge/habit.ts';
import { lockAheadWords, lockHabitWords } from '../../host/steps/lockAdvice.ts';
import { keepLocking, loadLockings } from '../../host/store/lockings.ts';

const shift = (altitude: number, azimuth: number): SeenShift => ({
  altitudeShiftRad: altitude * arcminute,
  azimuthShiftRad: azimuth * arcminute,
  covariance: [(0.4 * arcminute) ** 2, 0, 0, (1.1 * arcminute) ** 2],
});

describe('what locking did to a mount', () => {
  const home = mkdtempSync(join(tmpdir(), 'lodepole-lockings-'));
  const [north, south] = [{ latitudeRad: 0.8 }, { latitudeRad: -0.5 }];
  const now = new Date('2027-02-03T21:00:00Z');
  beforeAll(() => {
    process.env.LODEPOLE_HOME = home;
  });
  afterAll(() => rmSync(home, { recursive: true, force: true }));

  it('is kept for the mount and the pole, the newest twelve', async () => {
    for (let i = 0; i < 14; i += 1) await keepLocking(shift(i / 2, -i), { mount: 'old iron' }, north, now);
    const kept = await loadLockings({ mount: 'old iron' }, north);
    expect(kept).toHaveLength(12);
    expect(kept.at(-1)!.altitudeShiftRad / arcminute).toBeCloseTo(6.5, 9);
    expect(kept[0].azimuthShiftRad / arcminute).toBeCloseTo(-2, 9);
    expect(Math.sqrt(kept[0].covariance[3]) / arcminute).toBeCloseTo(1.1, 9);
    expect(await loadLockings({ mount: 'another' }, north)).toEqual([]);
    expect(await loadLockings({ mount: 'old iron' }, south)).toEqual([]);
  });

  it('is told with its scatter, and the opposite as the place to lock from', () => {
    expect(lockHabitWords([])).toEqual([]);
    const words = lockHabitWords([shift(6, -8), shift(6.4, -7), shift(5.7, -9)]).join(' ');
    expect(words).toMatch(/moved the axis 6′ high and 8′ west \(measured 3 times\)/);
    expect(words).toMatch(/nudge to 6′ low and 8′ east/);
  });

  it('is corrected only where that is expected to end nearer', () => {
    const seen = [shift(6, -8), shift(6.4, -7)];
    const axis = (altitude: number) => ({
      altitudeErrorRad: altitude * arcminute,
      azimuthErrorRad: 0,
      axisCovariance: [arcminute ** 2, 0, 0, arcminute ** 2] as const,
    });
    expect(lockAheadWords(axis(7), seen, 0.8)).toMatch(/Loosen the bolts/);
    expect(lockAheadWords(axis(1), seen, 0.8)).toMatch(/Leave the bolts as they are/);
  });
});
