// Small version of tests/bench/tumble.bench.ts: the same experiment with fewer boards and limits as wide as their number asks for.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { chipProfiles, tumbleOf } from './tumble-boards.ts';
import { runExperiment } from './tumble-experiment.ts';
import { handTumble, type Hand } from './tumble-hand.ts';

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

describe('tumble of a cheap chip that sees half the sphere', () => {
  const cheap = runExperiment({
    noise: chipProfiles.cheap,
    boards,
    samples: 600,
    seed: 30_000,
    keep: (up) => up[2] > 0,
    skipOthers: true,
  });

  it('is not pulled aside by the noise in its own derivatives', () => {
    // Without the step at the foot points, 1.64 times the bound, 84 percent within the 95 percent region.
    expect(cheap.ours.tiltRad / cheap.bound.tiltRad).toBeLessThan(1.35);
    expect(cheap.attitude95).toBeGreaterThan(0.85);
  });
});

describe('tumble of readings that have a time but were not turned from one to the next', () => {
  it('is as good as without times', () => {
    const noise = chipProfiles.cheap;
    const cheap = runExperiment({
      noise,
      boards,
      samples: 600,
      seed: 1000,
      skipOthers: true,
      tumble: (random, board) =>
        tumbleOf(random, board, noise, 600).map((sample, i) => ({ ...sample, boardS: i / 50 })),
    });
    expect(cheap.accepted).toBe(boards);
    expect(cheap.ours.headingRad / cheap.bound.headingRad).toBeLessThan(1.25);
    expect(cheap.ours.tiltRad / cheap.bound.tiltRad).toBeLessThan(1.25);
  });
});

describe('tumble by a hand that never rests', () => {
  const hand: Hand = {
    seconds: 60,
    samplesPerS: 25,
    rateRadPerS: 0.6,
    rateTimeS: 2,
    leverM: 0.08,
    jitterG: 0,
    jitterTimeS: 0.5,
    restS: 0,
    turnS: 4,
  };
  const noise = chipProfiles.typical;
  const of = (change: Partial<Hand>) =>
    runExperiment({
      noise,
      boards: 10,
      samples: 0,
      seed: 7000,
      skipOthers: true,
      tumble: (random, board) => handTumble(random, board, noise, { ...hand, ...change }),
    });

  // Ten boards scatter an error by a sixth or so; 200 boards of each hand are in tests/bench/tumble.bench.ts.
  it('finds the lever of a board turned about the wrist, and states a tilt that holds', () => {
    const { ours, stated, attitude95 } = of({});
    // Taken for white noise the lever would leave a quarter of a degree; out of rates over short windows 0.15.
    expect(ours.tiltRad / degree).toBeLessThan(0.08);
    expect(stated.tiltRad / degree).toBeLessThan(0.14);
    expect(ours.tiltRad / stated.tiltRad).toBeLessThan(1.3);
    expect(attitude95).toBeGreaterThanOrEqual(0.8);
  });

  it.each([0.3, 1])('states a tilt that holds where the hand shakes for %f s alike', (jitterTimeS) => {
    const { ours, stated, attitude95 } = of({ leverM: 0, jitterG: 0.02, jitterTimeS });
    expect(ours.tiltRad / stated.tiltRad).toBeLessThan(1.35);
    expect(ours.tiltRad / stated.tiltRad).toBeGreaterThan(0.6);
    expect(attitude95).toBeGreaterThanOrEqual(0.8);
  });
});
