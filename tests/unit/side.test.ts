import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { clearanceMm, distanceBetween, type Measures } from '../../calibration/clearance.ts';
import { counterweightAltitudeRad, hourAngleToFlipRad } from '../../calibration/side.ts';
import { clearStretches, mountSideOf } from '../../host/sky/mountSide.ts';
import { targetNamed } from '../../host/sky/target.ts';
import { sideWords, spanWords } from '../../host/steps/sideReport.ts';

const deg = (angleRad: number): number => angleRad / degree;

describe('counterweight', () => {
  it('stands at asin(-cos lat sin|H|) on the proper side, above level on the other, in both hemispheres', () => {
    for (const latitudeDeg of [-54, -12, 0, 33, 47, 78]) {
      for (const hourDeg of [-150, -91, -40, -3, 3, 25, 88, 170]) {
        const [side, other] = hourDeg < 0 ? (['west', 'east'] as const) : (['east', 'west'] as const);
        const expected = deg(Math.asin(-Math.cos(latitudeDeg * degree) * Math.sin(Math.abs(hourDeg) * degree)));
        expect(deg(counterweightAltitudeRad(hourDeg * degree, latitudeDeg * degree, side))).toBeCloseTo(expected, 9);
        expect(deg(counterweightAltitudeRad(hourDeg * degree, latitudeDeg * degree, other))).toBeCloseTo(-expected, 9);
      }
    }
  });

  it('reaches what is allowed after the turn that is told', () => {
    for (const [latitudeDeg, hourDeg, side, allowedDeg] of [
      [47, -40, 'west', 0],
      [47, -40, 'west', 12],
      [-33, -10, 'west', -4],
      [47, 25, 'east', 7],
      [-20, 170, 'east', 0],
      [51, 8, 'west', 15],
    ] as const) {
      const turn = hourAngleToFlipRad(hourDeg * degree, latitudeDeg * degree, side, allowedDeg * degree);
      const after = hourDeg * degree + turn;
      expect(deg(counterweightAltitudeRad(after, latitudeDeg * degree, side))).toBeCloseTo(allowedDeg, 6);
      expect(deg(counterweightAltitudeRad(after + 0.01, latitudeDeg * degree, side))).toBeGreaterThan(allowedDeg);
      expect(turn).toBeGreaterThan(0);
    }
  });

  it('is above already, or never gets there near the pole of the Earth', () => {
    expect(hourAngleToFlipRad(20 * degree, 47 * degree, 'west', 5 * degree)).toBe(0);
    expect(hourAngleToFlipRad(-20 * degree, 78 * degree, 'west', 13 * degree)).toBe(Infinity);
  });
});

describe('room between tube and tripod', () => {
  it('measures between two straight pieces', () => {
    const piece = (from: [number, number, number], to: [number, number, number]) => ({ from, to });
    expect(distanceBetween(piece([0, 0, 0], [10, 0, 0]), piece([4, 3, -5], [4, 3, 5]))).toBeCloseTo(3, 12);
    expect(distanceBetween(piece([0, 0, 0], [10, 0, 0]), piece([13, 4, 0], [20, 4, 0]))).toBeCloseTo(5, 12);
    expect(distanceBetween(piece([0, 0, 0], [10, 0, 0]), piece([2, 0, 7], [6, 0, 7]))).toBeCloseTo(7, 12);
  });

  const measures: Measures = {
    tubeOutMm: 200,
    tubeFrontMm: 400,
    tubeRearMm: 600,
    tubeDiameterMm: 100,
    headBelowMm: 150,
    groundBelowMm: 1100,
    footOutMm: 500,
    legMm: 40,
    legAzimuthRad: 0,
  };

  it('is by hand what stays between a plumb tube and the nearest leg, and the ground', () => {
    // At the Earth's pole the tube that points at declination 90 is plumb, 200 mm west of the head, its rear end 600 mm down.
    const vertical = clearanceMm(measures, 0, 90 * degree, 90 * degree, 'west');
    // Nearest leg: azimuth 240 degrees, 30 degrees from west. At depth z its middle is 500 (z - 150) / 950 out.
    const out = (500 * (600 - 150)) / 950;
    const gap = Math.hypot(200 - out * Math.cos(30 * degree), out * Math.sin(30 * degree));
    expect(vertical).toBeLessThan(gap - 50 - 20 + 1);
    expect(vertical).toBeGreaterThan(0);
    expect(clearanceMm({ ...measures, tubeRearMm: 1090 }, 0, 90 * degree, 90 * degree, 'west')).toBeLessThan(-30);
    expect(clearanceMm({ ...measures, tubeRearMm: 300 }, 0, 90 * degree, 90 * degree, 'west')).toBeGreaterThan(
      vertical,
    );
  });

  it('is the same on the other side of a mount whose tripod is the same there', () => {
    const west = clearanceMm(measures, -20 * degree, 10 * degree, 47 * degree, 'west');
    expect(clearanceMm(measures, 20 * degree, 10 * degree, 47 * degree, 'east')).toBeCloseTo(west, 9);
    expect(clearanceMm(measures, 20 * degree, 10 * degree, 47 * degree, 'west')).not.toBeCloseTo(west, 0);
  });
});

const site = { latitudeRad: 47.25 * degree, longitudeRad: 8.3 * degree, elevationM: 0 };

describe('clear of the horizon', () => {
  const at = new Date('2026-11-25T21:30:00Z');

  it('from when to when, across midnight, to a second, behind what is marked', () => {
    const rigel = targetNamed('rigel');
    const free = clearStretches(rigel, site, at);
    expect(free).toHaveLength(2);
    const marked = clearStretches(
      rigel,
      {
        ...site,
        horizon: [{ fromAzimuthRad: 180 * degree, toAzimuthRad: 215 * degree, altitudeRad: 60 * degree }],
      },
      at,
    );
    expect(marked).toHaveLength(3);
    expect(marked[0].untilUtc!.getTime()).toBeGreaterThan(Date.parse('2026-11-26T00:00:00Z'));
    expect(marked[1].untilUtc).toEqual(free[0].untilUtc);
  });

  it('says never for a star that does not rise, and always for one that does not set', () => {
    expect(clearStretches(targetNamed('canopus'), site, at)).toEqual([]);
    expect(clearStretches(targetNamed('capella'), site, at)).toEqual([{ fromUtc: at }]);
    expect(sideWords('Canopus', mountSideOf(targetNamed('canopus'), site, at), at, 0)).toEqual([
      'Canopus is below the horizon. Within a day it does not rise clear of the horizon and what you marked on it.',
    ]);
  });
});

describe('words', () => {
  it('tell the side, the meridian and the flip', () => {
    const at = new Date('2026-11-25T21:30:00Z');
    const said = sideWords('Capella', mountSideOf(targetNamed('capella'), site, at, { allowedRad: 5 * degree }), at, 5);
    expect(said[0]).toBe('Put the tube west of the mount for Capella, 60° up in the east.');
    expect(said[1]).toBe('It crosses the meridian in 2 h 56 min.');
    expect(said[2]).toBe('Flip within 3 h 25 min: then the counterweight rises to 5° above level.');
    expect([12.4, 59.7, 125].map(spanWords)).toEqual(['12 min', '1 h 00 min', '2 h 05 min']);
  });
});
