import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { bundleChild, killed, paired } from './kept.ts';

describe('what was acknowledged', () => {
  let bundle: Awaited<ReturnType<typeof bundleChild>>;
  beforeAll(async () => {
    bundle = await bundleChild();
  });
  afterAll(() => bundle.remove());

  it(
    'is kept when two programs save at once, and neither loses what the other saved',
    { timeout: 60_000 },
    async () => {
      for (let pair = 0; pair < 3; pair++) {
        const { acknowledged, kept, torn, unreadable, bolts } = await paired(bundle.child, 8);
        expect(acknowledged).toHaveLength(16);
        expect(kept.toSorted()).toEqual(acknowledged.toSorted());
        expect({ torn, unreadable, bolts }).toEqual({ torn: 0, unreadable: [], bolts: { altitude: 8, azimuth: 8 } });
      }
    },
  );

  it('is kept when programs are killed, and what they had written aside is swept', { timeout: 120_000 }, async () => {
    const chances = [0.9, 0.1, 0.2, 0.7, 0.8, 0.9, 0.3, 0.5, 0.6, 0.99];
    let next = 0;
    const { acknowledged, kept, unreadable, names } = await killed(bundle.child, 5, () => chances[next++ % 10]);
    expect(acknowledged.length).toBeGreaterThan(1);
    expect(new Set(kept)).toEqual(new Set([...kept, ...acknowledged]));
    expect(new Set(kept).size).toBe(kept.length);
    expect(unreadable).toEqual([]);
    expect(names.filter((name) => !/\.jsonl?(\.old)?$/.test(name))).toEqual([]);
  });
});
