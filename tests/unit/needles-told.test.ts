// What machines are told of the needles, and what is noticed of the way in which bolts were turned.
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { BoltWays } from '../../host/live/boltWays.ts';
import type { Bolts } from '../../host/live/boltTurns.ts';
import { needlesJson } from '../../host/live/needlesJson.ts';
import type { Needles } from '../../host/live/session.ts';
import { needlesAtRest } from './needlesAtRest.ts';

describe('needles as JSON', () => {
  const needles = needlesAtRest(1.5 * degree, {
    utcMs: Date.UTC(2026, 10, 29, 21, 5, 7),
    arrivalS: 100.25,
    azimuthErrorRad: -2.25 * degree,
    distanceRad: 2.125 * degree,
    sigmaAltitudeErrorRad: 0.03 * degree,
    sigmaAzimuthErrorRad: 0.45 * degree,
    sigmaDistanceRad: 0.31 * degree,
    fieldDeviationSigmas: 1.236,
    temperatureC: 7.125,
    truth: { altitudeErrorRad: 1.4 * degree, azimuthErrorRad: -2.5 * degree, distanceRad: 2.2 * degree },
  });

  it('have every figure under its own key, in degrees, with one standard deviation', () => {
    expect(needlesJson(needles, 'a board', 'linked', 100.75)).toEqual({
      kind: 'needles',
      timeUtc: '2026-11-29T21:05:07.000Z',
      altitudeErrorDeg: 1.5,
      sigmaAltitudeErrorDeg: 0.03,
      azimuthErrorDeg: -2.25,
      sigmaAzimuthErrorDeg: 0.45,
      distanceDeg: 2.125,
      sigmaDistanceDeg: 0.31,
      state: 'still',
      ageS: 0.5,
      fieldDeviationSigmas: 1.24,
      temperatureC: 7.13,
      source: 'a board',
      truth: { altitudeErrorDeg: 1.4, azimuthErrorDeg: -2.5, distanceDeg: 2.2 },
    });
  });

  it('that are stale tell the reason and no figure, and an age is never negative', () => {
    const stale = needlesJson({ ...needles, state: 'stale', isOffClip: true }, 'a board', 'it fell silent', 90);
    const figures = ['altitudeError', 'azimuthError', 'distance'].flatMap((key) => [
      `${key}Deg`,
      `sigma${key[0].toUpperCase()}${key.slice(1)}Deg`,
    ]);
    for (const key of [...figures, 'fieldDeviationSigmas', 'temperatureC']) expect(stale[key], key).toBeNull();
    expect(stale).toMatchObject({ state: 'stale', reason: 'it fell silent', offClip: true, ageS: 0 });
    expect(stale).not.toHaveProperty('truth');
    expect(needlesJson(needles, 'a board', 'linked', 101)).not.toHaveProperty('reason');
    expect(needlesJson(needles, 'a board', 'linked', 101)).not.toHaveProperty('offClip');
  });
});

describe('the way in which a bolt was turned', () => {
  /** Last way of the altitude bolt after two rests, the second of which is higher by this. */
  const wayAfter = (
    shiftArcmin: number,
    second: Partial<Needles> = {},
    { restS = 2, radPerTurn = degree, forget = false } = {},
  ): number | undefined => {
    const bolts: Bolts = {
      altitude: { radPerTurn, sigmaRadPerTurn: 0.01, backlashTurns: 0.2, sigmaBacklashTurns: 0.02, lastWay: 1 },
    };
    const ways = new BoltWays(() => bolts);
    let arrivalS = 0;
    const rest = (seconds: number, altitudeRad: number, other: Partial<Needles> = {}): void => {
      for (let i = 0; i <= seconds * 10; i += 1) {
        arrivalS += 0.1;
        ways.offer(needlesAtRest(altitudeRad, { arrivalS, ...other }));
      }
    };
    rest(2, 0);
    if (forget) ways.forget();
    rest(0.3, 0, { state: 'moving' });
    rest(restS, shiftArcmin * arcminute, second);
    return bolts.altitude?.lastWay;
  };

  it('is that of its needle, once it has rested for a second and a half', () => {
    expect(wayAfter(-20)).toBe(-1);
    expect(wayAfter(20)).toBe(1);
    expect(wayAfter(-20, {}, { restS: 1.3 })).toBe(1);
    expect(wayAfter(-20, {}, { restS: 1.6 })).toBe(-1);
    // a bolt whose turns lower the axis
    expect(wayAfter(20, {}, { radPerTurn: -degree })).toBe(-1);
    expect(wayAfter(-20, {}, { radPerTurn: -degree })).toBe(1);
  });

  it('is not told by less than three of a nudge, a board off its clip, unsure needles, or another start', () => {
    expect(wayAfter(-1.4)).toBe(1);
    expect(wayAfter(-1.6)).toBe(-1);
    expect(wayAfter(-20, { isOffClip: true })).toBe(1);
    expect(wayAfter(-20, { state: 'disturbed' })).toBe(1);
    expect(wayAfter(-20, { sigmaAltitudeErrorRad: 0.036 })).toBe(1);
    expect(wayAfter(-20, { sigmaAzimuthErrorRad: 0.036 })).toBe(1);
    expect(wayAfter(-20, { sigmaAzimuthErrorRad: 0.034 })).toBe(-1);
    expect(wayAfter(-20, {}, { forget: true })).toBe(1);
  });
});
