import { expect, test } from 'vitest';
import { chipPairs } from '../chipPairs.ts';
import { runImage } from '../statistics/liveOfImage.ts';

// All 132 pairs: npm run bench -- combinations.
test.each(
  chipPairs.map(([accelerometer, magnetometer], index) => ({ accelerometer, magnetometer, seed: index + 100 })),
)(
  '$accelerometer and $magnetometer, through the image on the emulated processor: needles within three of their sigmas',
  ({ seed, ...chips }) => {
    const run = runImage(seed % 2 ? 'orchard' : 'woolshed', seed, 1.35, { chips });
    expect(run.estimates).toBeGreaterThan(20);
    expect(run.worstAltitude).toBeLessThan(3);
    expect(run.worstAzimuth).toBeLessThan(3);
    expect(run.worstDistance).toBeLessThan(3);
  },
);
