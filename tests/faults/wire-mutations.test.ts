import { expect, test } from 'vitest';
import { mutateLines } from './wire-mutations.ts';

// The bench takes a million.
test('a hundred thousand damaged lines: none believed but by a collision of the CRC, none crashes', () => {
  const counts = [...mutateLines(100_000, 20261125).values()];
  const sum = (key: 'lines' | 'framed' | 'collisions' | 'wronglyBelieved' | 'crashes'): number =>
    counts.reduce((total, tally) => total + tally[key], 0);
  expect(sum('lines')).toBeGreaterThan(90_000);
  expect(sum('framed')).toBeGreaterThan(30_000);
  expect(sum('crashes')).toBe(0);
  expect(sum('wronglyBelieved')).toBe(0);
  for (const { certain, collisions } of counts) if (certain) expect(collisions).toBe(0);
  // Of the framed lines one in 65536 is expected to collide; ten would be far outside that.
  expect(sum('collisions')).toBeLessThan(10);
});
