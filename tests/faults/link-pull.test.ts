import { spawnSync } from 'node:child_process';
import { expect, test } from 'vitest';
import { patience } from '../job/patience.ts';
import { pullAndPlug } from './link-pulls.ts';

const hasSocat = spawnSync('socat', ['-V']).status === 0;
if (!hasSocat) console.log('SKIPPED: pulling the cable needs socat (Debian package socat)');

const median = (values: readonly number[]): number => values.toSorted((a, b) => a - b)[values.length >> 1];

// The bench pulls 50 times.
test.skipIf(!hasSocat)(
  'a pulled cable is noticed and found again, eight times, through the real serial binding',
  async () => {
    const { noticedS, resumedS, before, after, closedS } = await pullAndPlug(8);
    expect(noticedS).toHaveLength(8);
    // every pull is noticed and mended (pullAndPlug waits no longer than 20 s), and most of them as soon as is promised
    expect(median(noticedS)).toBeLessThan(1.5 * patience());
    expect(median(resumedS)).toBeLessThan(2 * patience());
    expect(closedS).toBeLessThan(0.5 * patience());
    // A descriptor of a read under way may come and go; eight leaked ports would be eight more.
    expect(after.descriptors).toBeLessThanOrEqual(before.descriptors + 1);
    expect(after.timers).toBeLessThanOrEqual(before.timers + 1);
    expect(after.rssMb - before.rssMb).toBeLessThan(40);
  },
);
