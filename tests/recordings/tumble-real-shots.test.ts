// Real boards, ten of them: tumble on sixteen static shots, swing on the eight others, both ways round.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { median, shotFiles } from './tumble-files.ts';
import { joint, judgeShots, plainEllipsoid } from './tumble-judges.ts';

describe('tumble on 16 real shots, judged by 8 rolls about one fixed axis', () => {
  const ours = shotFiles.map((file) => judgeShots(file, joint));
  const plain = shotFiles.map((file) => judgeShots(file, plainEllipsoid));
  const spread = median(ours.flatMap(({ spreadsRad }) => spreadsRad)) / degree;
  const plainSpread = median(plain.flatMap(({ spreadsRad }) => spreadsRad)) / degree;

  it('spreads the azimuth by at most 0.30 degree, five times less than a plain ellipsoid', () => {
    expect(spread).toBeLessThan(0.3);
    expect(plainSpread / spread).toBeGreaterThan(5);
  });

  it('finds the same axis from either group within 0.40 degree', () => {
    expect(median(ours.map(({ axisDisagreementRad }) => axisDisagreementRad)) / degree).toBeLessThan(0.4);
    expect(median(plain.map(({ axisDisagreementRad }) => axisDisagreementRad)) / degree).toBeGreaterThan(2);
  });
});
