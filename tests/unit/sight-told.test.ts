// The star that a person was told to centre is the one that is taken, however long the centring takes.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { AxisModel } from '../../calibration/axisModel.ts';
import { identity3 } from '../../calibration/vector.ts';
import { nextStars } from '../../host/steps/sights.ts';
import { priorOf, SightStep } from '../../host/steps/sightStep.ts';

const none = { bias: [0, 0, 0] as const, matrix: identity3 };
const model: AxisModel = {
  correction: { accelerometer: none, magnetometer: none },
  axisInBoard: [1, 0, 0],
  sigmaAltitudeRad: 0.0005,
  sigmaMagneticAzimuthRad: 0.003,
  fieldNt: 52_000,
  sigmaFieldNt: 100,
  dipRad: 1.17,
  sigmaDipRad: 0.003,
};
const site = { latitudeRad: 41 * degree, longitudeRad: -99 * degree, elevationM: 0 };
const minutes = 60_000;

describe('the star that is told', () => {
  it('stays while the sky turns on, and is told anew only after a long pause', () => {
    const startMs = Date.parse('2027-01-15T04:00:00Z');
    const best = (atMs: number): string =>
      nextStars(undefined, site, new Date(atMs), [], priorOf(model, site))[0].star.name;
    // an evening on which the best star changes while it is being centred
    const changesMs = Array.from({ length: 60 }, (_, i) => startMs + i * 3 * minutes).find(
      (atMs) => best(atMs) !== best(atMs + 10 * minutes) && best(atMs) !== best(atMs + 25 * minutes),
    );
    expect(changesMs).toBeDefined();
    let nowMs = changesMs!;
    const step = new SightStep(model, site, undefined, () => new Date(nowMs));
    const told = step.recommendation()?.star.name;
    expect(step.progress().instruction).toContain(`Centre ${told},`);
    nowMs += 10 * minutes;
    expect(step.recommendation()?.star.name).toBe(told);
    expect(step.progress().instruction).toContain(`Centre ${told},`);
    nowMs += 15 * minutes;
    expect(step.progress().instruction).toContain(`Centre ${best(nowMs)},`);
    expect(step.recommendation()?.star.name).toBe(best(nowMs));
  });
});
