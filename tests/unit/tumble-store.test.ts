import { describe, expect, it } from 'vitest';
import { TumbleStep } from '../../host/steps/tumbleStep.ts';
import { TumbleStore } from '../../host/steps/tumbleReservoir.ts';
import type { TumbleSample } from '../../calibration/tumble/types.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { chipProfiles, randomBoard, tumbleOf } from '../statistics/tumble-boards.ts';

const random = new Random(77);
const board = randomBoard(random);
const pool = tumbleOf(random, board, chipProfiles.typical, 5000);

describe('the store of readings', () => {
  it('keeps all while they are few, in order', () => {
    const store = new TumbleStore<TumbleSample>();
    for (const sample of pool) store.offer(sample);
    expect(store.samples()).toEqual(pool);
  });

  it('keeps a bounded, ordered, even choice of 300 000', () => {
    const store = new TumbleStore<TumbleSample & { order: number }>();
    for (let i = 0; i < 300_000; i += 1) store.offer({ ...pool[i % pool.length], order: i });
    const kept = store.samples();
    expect(store.offered).toBe(300_000);
    expect(kept.length).toBeLessThan(28_000);
    expect(kept.length).toBeGreaterThan(2_000);
    for (let i = 1; i < kept.length; i += 1) expect(kept[i].order).toBeGreaterThan(kept[i - 1].order);
    const late = kept.filter(({ order }) => order > 150_000).length / kept.length;
    expect(late).toBeGreaterThan(0.4);
    expect(late).toBeLessThan(0.6);
  });
});

describe('the live step', () => {
  const feed = (step: TumbleStep, samples: readonly TumbleSample[]): void => {
    samples.forEach(({ accelG, fieldNt }, i) =>
      step.offer({ arrivalS: i / 100, boardS: i / 100, sequence: i, accelG, fieldNt, temperatureC: 21 }),
    );
  };

  it('says at any time what is covered and how to turn next, as plain data', () => {
    const step = new TumbleStep();
    expect(step.progress()).toMatchObject({ samples: 0, ready: false });
    feed(step, pool.filter(({ accelG }) => accelG[2] > 0.5).slice(0, 200));
    const early = step.progress();
    expect(early.coverage.percent).toBeLessThan(70);
    expect(early.words).toMatch(/arrow Z down/);
    expect(JSON.parse(JSON.stringify(early))).toEqual(early);
    feed(step, pool);
    const late = step.progress();
    expect(late.ready).toBe(true);
    expect(late.words).toMatch(/finish/);
    const { result, temperatureC } = step.finish();
    expect(result.accepted).toBe(true);
    expect(temperatureC).toBeCloseTo(21, 9);
  });

  it('passes over what is shaken and says "more gently"', () => {
    const step = new TumbleStep();
    feed(
      step,
      pool.slice(0, 400).map((s, i) => (i > 300 ? { ...s, accelG: [0, 0, 2.5] } : s)),
    );
    const progress = step.progress();
    expect(progress.shaken).toBe(99);
    expect(progress.words).toMatch(/^More gently/);
  });

  it('is finished without a sample as a refusal, not a crash', () => {
    expect(new TumbleStep().finish().result.accepted).toBe(false);
  });
});
