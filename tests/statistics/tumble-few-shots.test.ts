// A tumble of sixteen single readings, as loggers of static shots give it: how noisy the chips are is told by the shots themselves.
import { describe, expect, it } from 'vitest';
import { chipProfiles } from './tumble-boards.ts';
import { runExperiment } from './tumble-experiment.ts';

describe.each(['quiet', 'typical', 'cheap'] as const)('sixteen shots of 80 boards with %s chips', (chip) => {
  const shots = runExperiment({ noise: chipProfiles[chip], boards: 80, samples: 16, seed: 500, skipOthers: true });

  it('come near the Cramer-Rao bound', () => {
    // With the usual noise taken for every chip: 2.05, 0.99 and 1.25 times the bound.
    expect(shots.ours.headingRad / shots.bound.headingRad).toBeLessThan(1.2);
  });

  it('state regions that hold', () => {
    // Binomial of 80, three sigma; with the usual noise 100 percent of the quiet boards, 36 of the cheap ones.
    for (const held of [shots.heading68, shots.attitude68]) {
      expect(held).toBeGreaterThan(0.52);
      expect(held).toBeLessThan(0.85);
    }
    for (const held of [shots.heading95, shots.attitude95]) expect(held).toBeGreaterThan(0.87);
  });
});
