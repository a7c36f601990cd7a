// A small version of the last rows of `npm run bench -- swing`; the bands are those of 30 set-ups, the bench has 1,000.
import { describe, expect, it } from 'vitest';
import { reversalSetUp, summariseReversals } from './reversalSetUps.ts';

describe('a clip turned end for end where nothing turns, in 30 invented set-ups, both hemispheres', () => {
  const of = (ironNt: number) =>
    summariseReversals(Array.from({ length: 30 }, (_, i) => reversalSetUp(3001 + i, ironNt)));

  it('is limited by its seat, states regions that hold, and no iron where there is none to speak of', () => {
    const figures = of(300);
    expect(figures.refused).toBe(0);
    expect(figures.cautioned).toBeLessThanOrEqual(1);
    expect(figures.altitudeArcmin).toBeGreaterThan(35);
    expect(figures.altitudeArcmin).toBeLessThan(85);
    expect(figures.within68).toBeGreaterThan(0.4);
    expect(figures.within68).toBeLessThan(0.95);
    expect(figures.within95).toBeGreaterThan(0.83);
  });

  it('speaks of iron that bends the field by some microtesla in most set-ups', () => {
    const figures = of(5000);
    expect(figures.refused + figures.cautioned).toBeGreaterThan(22);
  });
});
