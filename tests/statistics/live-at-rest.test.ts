import { describe, expect, it } from 'vitest';
import { tableOf } from './liveAtRest.ts';

// The hundred seeds of each scene are in tests/bench/live.bench.ts; these are the first twelve.
const seeds = 12;

describe.each(['orchard', 'woolshed'] as const)('needles of the virtual board at rest in scene %s', (scene) => {
  const table = tableOf(scene, 1, seeds, 6);

  it('lie within the stated sigmas as often as sigmas promise', () => {
    // 12 set-ups at 95.4 percent each: fewer than 9 within two sigmas happens once in a thousand trials
    expect(table.altitudeWithin[1]).toBeGreaterThanOrEqual(9);
    expect(table.azimuthWithin[1]).toBeGreaterThanOrEqual(9);
    expect(table.distanceWithin[1]).toBeGreaterThanOrEqual(9);
    expect(table.worstSigmas).toBeLessThan(4);
  });

  it('and the sigmas are not absurdly wide: the magnetic model limits the azimuth, a few arcminutes the altitude', () => {
    // WMM2025 report, equation 43: 0.35 to 0.38 degree of variation at these places
    expect(table.medianSigmaAzimuthDeg).toBeGreaterThan(0.33);
    expect(table.medianSigmaAzimuthDeg).toBeLessThan(0.6);
    expect(table.medianSigmaAltitudeArcmin).toBeLessThan(6);
  });
});
