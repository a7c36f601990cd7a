// A small version of `npm run bench -- swing`; the bands are those of 30 set-ups, the bench has 1,000.
import { describe, expect, it } from 'vitest';
import { setUp, summarise } from './swingSetUps.ts';

describe('swing in 30 invented set-ups, both hemispheres', () => {
  const outcomes = Array.from({ length: 30 }, (_, i) => setUp(2001 + i));
  const part = summarise(outcomes, 'part');
  const full = summarise(outcomes, 'full');
  const reversed = summarise(outcomes, 'reversed');

  it('is limited by the magnetic model', () => {
    for (const figures of [part, full, reversed]) {
      expect(figures.refusedTumbles + figures.refusedSwings).toBeLessThanOrEqual(1);
      expect(figures.azimuthDeg / figures.modelDeg).toBeLessThan(1.4);
      expect(figures.magneticDeg).toBeLessThan(0.2);
    }
  });

  it('knows the altitude to under 3 arcminutes after a reversal, and the axis in the board', () => {
    expect(reversed.altitudeArcmin).toBeLessThan(1.5);
    expect(full.axisArcmin).toBeLessThan(3);
    expect(part.axisArcmin).toBeLessThan(4);
  });

  it('states regions that hold', () => {
    for (const figures of [part, full, reversed]) {
      expect(figures.within68).toBeGreaterThan(0.5);
      expect(figures.within95).toBeGreaterThan(0.86);
      expect(figures.sensors68).toBeGreaterThan(0.5);
      expect(figures.sensors68).toBeLessThan(0.95);
      expect(figures.sensors95).toBeGreaterThan(0.86);
    }
  });
});

it('keeps the axis on the side of the pole at the equator, where turning iron hides the level field (seed 351)', () => {
  const outcome = setUp(351);
  expect(outcome?.full.site.pole.altitudeRad).toBeLessThan(0.002);
  expect(Math.abs(outcome?.full.magneticAzimuthRad ?? Infinity)).toBeLessThan(0.02);
});
