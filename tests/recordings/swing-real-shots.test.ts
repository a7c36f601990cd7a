// Real boards of tests/recordings/data (PROVENANCE.json there): groups 1 and 2 are eight rolls about one fixed axis each.
import { describe, expect, it } from 'vitest';
import { median, plainSwing, realSwings } from './swing-shots.ts';

describe('swing of real boards', () => {
  const ours = realSwings();
  const plain = plainSwing();
  const spread = median(ours.flatMap(({ spreadsDeg }) => spreadsDeg));

  it('spreads the azimuth by at most 0.30 degree, five times less than a plain ellipsoid on the same shots', () => {
    expect(ours).toHaveLength(10);
    expect(spread).toBeLessThan(0.3);
    expect(median(plain.flatMap(({ spreadsDeg }) => spreadsDeg)) / spread).toBeGreaterThan(5);
  });

  it('finds the same axis in the board from either group within 0.40 degree', () => {
    expect(median(ours.map(({ agreesDeg }) => agreesDeg))).toBeLessThan(0.4);
  });

  it('refuses none of them', () => {
    expect(ours.flatMap(({ refused }) => refused)).toEqual([]);
  });
});
