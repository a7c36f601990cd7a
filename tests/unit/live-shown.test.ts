import { describe, expect, it } from 'vitest';
import { arcminute } from '../../calibration/angle.ts';
import type { LiveEstimate } from '../../calibration/live/estimator.ts';
import { ShownFigures } from '../../host/live/shownFigures.ts';
import type { AxisFigures } from '../../host/live/session.ts';

const rest: LiveEstimate = {
  altitudeErrorRad: 8 * arcminute,
  azimuthErrorRad: -40 * arcminute,
  distanceRad: 30 * arcminute,
  sigmaAltitudeErrorRad: 2 * arcminute,
  sigmaAzimuthErrorRad: 24 * arcminute,
  sigmaDistanceRad: 17 * arcminute,
  state: 'still',
  fieldDeviationSigmas: 0.4,
};
const higher = (minutes: number): Partial<LiveEstimate> => ({
  altitudeErrorRad: rest.altitudeErrorRad + minutes * arcminute,
});
const farther = (minutes: number): Partial<LiveEstimate> => ({
  azimuthErrorRad: rest.azimuthErrorRad + minutes * arcminute,
});

/** What is shown of estimates at 50 a second; `feed` gives the moments at which it was taken anew, seconds from its start. */
class Shown {
  figures: AxisFigures | undefined;
  private readonly shown = new ShownFigures();
  private steps = 0;

  feed(seconds: number, estimateAt: (timeS: number) => Partial<LiveEstimate>): number[] {
    const changes: number[] = [];
    for (let i = 0; i < seconds * 50; i += 1) {
      this.steps += 1;
      const figures = this.shown.offer({ ...rest, ...estimateAt(i / 50) }, this.steps / 50);
      if (figures !== this.figures) changes.push(i / 50);
      this.figures = figures;
    }
    return changes;
  }

  renew(): void {
    this.shown.renew();
  }
}

const resting = (): Shown => {
  const shown = new Shown();
  shown.feed(12, () => ({}));
  return shown;
};

describe('figures at rest', () => {
  it('settle in two seconds, are taken once more after seven, and then stay', () => {
    const shown = new Shown();
    shown.feed(1, () => ({ state: 'moving' }));
    const changes = shown.feed(30, () => ({}));
    expect(changes.filter((atS) => atS > 2.1)).toHaveLength(1);
    expect(changes.at(-1)).toBeCloseTo(7, 1);
  });

  it('are taken once more after seven seconds of rest whenever that rest begins', () => {
    const shown = resting();
    shown.feed(3, () => ({ state: 'moving' }));
    const changes = shown.feed(30, () => higher(0.3));
    expect(changes.filter((atS) => atS > 2.1)).toEqual([expect.closeTo(7, 1)]);
  });

  it('show at rest the least sigma of the last tenth of a second or two, in motion the newest', () => {
    const shown = new Shown();
    shown.feed(1, () => ({ state: 'moving' }));
    // a doubt of one reading in six, which stands at the moment of the look after seven seconds too
    const doubt = { sigmaAltitudeErrorRad: 5 * arcminute, sigmaAzimuthErrorRad: 61 * arcminute };
    shown.feed(20, (timeS) => (Math.round(timeS * 50) % 6 === 0 ? doubt : {}));
    expect(shown.figures).toMatchObject({
      sigmaAltitudeErrorRad: rest.sigmaAltitudeErrorRad,
      sigmaAzimuthErrorRad: rest.sigmaAzimuthErrorRad,
      sigmaDistanceRad: rest.sigmaDistanceRad,
    });
    shown.feed(0.5, () => ({ state: 'moving' }));
    shown.feed(0.3, () => ({ ...doubt, state: 'moving' }));
    expect(shown.figures).toMatchObject(doubt);
    expect(shown.figures?.sigmaDistanceRad).toBe(rest.sigmaDistanceRad);
  });

  it('do not follow what is less than a quarter of a sigma in either axis', () => {
    const shown = resting();
    expect(
      shown.feed(60, (timeS) => ({ ...higher(0.45 * Math.sin(timeS)), ...farther(5.5 * Math.cos(timeS)) })),
    ).toEqual([]);
  });

  it.each([
    ['altitude', higher(0.6)],
    ['azimuth', farther(-6.5)],
  ])('follow more than that of the %s, but at most every ten seconds', (_, other) => {
    const shown = resting();
    const changes = shown.feed(45, (timeS) => (Math.floor(timeS) % 2 === 0 ? other : {}));
    expect(changes.length).toBeGreaterThan(1);
    for (const [i, atS] of changes.entries()) if (i > 0) expect(atS - changes[i - 1]).toBeGreaterThanOrEqual(9.99);
  });

  it.each([
    ['altitude', higher(-6.2), higher(-5.8)],
    ['azimuth', farther(73), farther(71)],
  ])('are never more than three sigmas from the needle in %s', (_, beyond, within) => {
    expect(resting().feed(1, () => within)).toEqual([]);
    expect(resting().feed(1, () => beyond)).toEqual([0]);
  });

  it('do not jump with a doubt that is gone in a moment, and open at once with one that stays', () => {
    const shown = resting();
    const wide = { sigmaAltitudeErrorRad: 5 * arcminute };
    expect(shown.feed(20, (timeS) => (timeS % 1 < 0.07 ? wide : {}))).toEqual([]);
    const changes = shown.feed(9, (timeS) => (timeS < 1 ? wide : {}));
    expect(changes).toHaveLength(1);
    expect(changes[0]).toBeLessThanOrEqual(0.2);
    expect(shown.figures?.sigmaAltitudeErrorRad).toBe(wide.sigmaAltitudeErrorRad);
  });

  it('close calmly: not while the band is still kept, and to what it then is', () => {
    const shown = new Shown();
    shown.feed(1, () => ({ state: 'moving' }));
    shown.feed(8, () => ({ sigmaAzimuthErrorRad: 30 * arcminute }));
    const changes = shown.feed(12, () => ({}));
    expect(changes).toHaveLength(1);
    expect(changes[0]).toBeGreaterThan(8);
    expect(shown.figures?.sigmaAzimuthErrorRad).toBe(rest.sigmaAzimuthErrorRad);
  });
});

describe('figures of needles that move', () => {
  it('follow at once and then five times a second, bands and all', () => {
    const shown = resting();
    const wide = { state: 'moving' as const, sigmaAltitudeErrorRad: 9 * arcminute };
    const changes = shown.feed(1, (timeS) => ({ ...wide, ...higher(30 * timeS) }));
    expect(changes[0]).toBe(0);
    expect(changes).toHaveLength(5);
    expect(shown.figures?.sigmaAltitudeErrorRad).toBe(9 * arcminute);
  });

  it('follow once a second while iron is near', () => {
    expect(resting().feed(5, (timeS) => ({ state: 'disturbed', ...farther(9 * timeS) }))).toHaveLength(5);
  });
});

it('needles that start from something else are shown at once', () => {
  const shown = resting();
  shown.renew();
  expect(shown.feed(0.1, () => higher(0.1))).toEqual([0]);
  expect(shown.figures?.altitudeErrorRad).toBeCloseTo(8.1 * arcminute, 12);
});
