import { spawnSync } from 'node:child_process';
import { expect, test } from 'vitest';
import { pullAndPlug } from './link-pulls.ts';

const hasSocat = spawnSync('socat', ['-V']).status === 0;
if (!hasSocat) console.log('SKIPPED: pulling the cable needs socat (Debian package socat)');

// The bench pulls 50 times.
test.skipIf(!hasSocat)(
  'a pulled cable is noticed and found again, eight times, through the real serial binding',
  async () => {
    const { noticedS, resumedS, before, after, closedS } = await pullAndPlug(8);
    expect(noticedS).toHaveLength(8);
    expect(Math.max(...noticedS)).toBeLessThan(1.5);
    expect(Math.max(...resumedS)).toBeLessThan(2);
    expect(closedS).toBeLessThan(0.5);
    // A descriptor of a read under way may come and go; eight leaked ports would be eight more.
    expect(after.descriptors).toBeLessThanOrEqual(before.descriptors + 1);
    expect(after.timers).toBeLessThanOrEqual(before.timers + 1);
    expect(after.rssMb - before.rssMb).toBeLessThan(40);
  },
);
