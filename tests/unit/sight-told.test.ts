// The star that a person was told to centre is the one that is taken, however long the centring takes.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { AxisModel } from '../../calibration/axisModel.ts';
import { identity3 } from '../../calibration/vector.ts';
import { sightsWords } from '../../host/steps/sightReport.ts';
import { nextStars, type SightsOutcome } from '../../host/steps/sights.ts';
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
const site = { latitudeRad: 47 * degree, longitudeRad: -113 * degree, elevationM: 0 };
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

describe('what comes after the last sight that helps', () => {
  const outcome = (altitudeErrorDeg: number, azimuthErrorDeg: number): SightsOutcome =>
    ({
      fit: {
        altitudeErrorRad: altitudeErrorDeg * degree,
        azimuthErrorRad: azimuthErrorDeg * degree,
        axisCovariance: [(0.02 * degree) ** 2, 0, 0, (0.05 * degree) ** 2],
      },
      sigmaRad: 0.05 * degree,
      next: { star: { name: 'Vega' }, where: 'high in the west', side: 'east' },
      helps: false,
      remarks: [],
    }) as unknown as SightsOutcome;
  const last = (of: SightsOutcome): string => sightsWords(of, 6, 60 * degree).at(-1)!;

  it.each([
    [3.3, 0, true],
    [0.11, 0, true],
    [0.09, 0, false],
    // azimuth counts by the cosine of 60 degrees
    [0, 0.21, true],
    [0, -0.19, false],
  ])('with the axis %d and %d degrees off, give or take 0.1: nudge first, %s', (altitude, azimuth, isFar) => {
    expect(last(outcome(altitude, azimuth))).toBe(
      isFar
        ? 'Another sight no longer helps: nudge first.'
        : 'Another sight no longer helps: go on to drift, or begin to observe.',
    );
  });

  it('is said where no star is left, too', () => {
    expect(last({ ...outcome(3.3, 0), next: undefined })).toBe('Nudge first.');
  });
});
