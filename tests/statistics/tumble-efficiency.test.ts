// Small version of tests/bench/tumble.bench.ts: the same experiment with fewer boards and limits as wide as their number asks for.
import { describe, expect, it } from 'vitest';
import { chipProfiles } from './tumble-boards.ts';
import { runExperiment } from './tumble-experiment.ts';

const boards = 24;

describe('tumble against its Cramer-Rao bound', () => {
  const typical = runExperiment({ noise: chipProfiles.typical, boards, samples: 600, seed: 100 });

  it('comes near the bound, far below the plain ways', () => {
    expect(typical.accepted).toBe(boards);
    expect(typical.ours.headingRad / typical.bound.headingRad).toBeLessThan(1.25);
    expect(typical.ours.tiltRad / typical.bound.tiltRad).toBeLessThan(1.25);
    expect(typical.ellipsoid.headingRad / typical.ours.headingRad).toBeGreaterThan(20);
    expect(typical.minMax.headingRad / typical.ours.headingRad).toBeGreaterThan(20);
  });

  it('states a sigma that holds', () => {
    expect(typical.stated.headingRad / typical.ours.headingRad).toBeGreaterThan(0.8);
    expect(typical.stated.headingRad / typical.ours.headingRad).toBeLessThan(1.25);
    const partial = runExperiment({
      noise: chipProfiles.typical,
      boards,
      samples: 300,
      seed: 200,
      keep: (up) => up[2] > -0.3,
      skipOthers: true,
    });
    // of 48: binomial, three sigma
    const held = (typical.attitude68 + partial.attitude68) / 2;
    expect(held).toBeGreaterThan(0.48);
    expect(held).toBeLessThan(0.89);
    expect((typical.attitude95 + partial.attitude95) / 2).toBeGreaterThan(0.85);
  });
});
