// What a person reads of checks, of a tilted base, and of a board off its clip.
import { describe, expect, it, vi } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { Gate } from '../../calibration/gate.ts';
import { fitLevel } from '../../calibration/level.ts';
import { needlesJson } from '../../host/live/needlesJson.ts';
import type { Practice } from '../../host/live/practice.ts';
import type { LiveSession, Needles } from '../../host/live/session.ts';
import { levelWords } from '../../host/steps/levelStep.ts';
import { PlainLines } from '../../host/terminal/plainLines.ts';
import { judge, sigmaChecks } from '../../calibration/tumble/fitGates.ts';
import { gateWords } from '../../host/words/gate.ts';
import { needlesAtRest } from './needlesAtRest.ts';

describe('a gate in words', () => {
  it.each([
    [{ value: 1, limit: 4, unit: 'readings' }, 'checked: 1 reading (limit 4 readings). Go on.'],
    [{ value: 60.5214, limit: 5, unit: 'sigmas' }, 'checked: 60.5 sigmas (limit 5 sigmas). Go on.'],
    [{ value: 136.421, limit: 5, unit: 'sigmas' }, 'checked: more than 100 sigmas (limit 5 sigmas). Go on.'],
    [{ value: 560128.896, limit: 5, unit: 'deg' }, 'checked: more than 180 degrees (limit 5 degrees). Go on.'],
    [{ value: 155306.017, limit: 3, unit: 'arcmin' }, 'checked: more than 600 arcminutes (limit 3 arcminutes). Go on.'],
    [{ value: 0.123456, limit: 1, unit: 'deg' }, 'checked: 0.123 degrees (limit 1 degree). Go on.'],
    [{ value: -1, limit: 0, unit: 'determinant' }, 'checked: determinant -1 (limit determinant 0). Go on.'],
    [{ value: 2, limit: 3, unit: '' }, 'checked: 2 (limit 3). Go on.'],
    [{ value: 1, limit: 1.5, unit: 's' }, 'checked: 1 s (limit 1.5 s). Go on.'],
  ])('%j', (numbers, words) => {
    const gate: Gate = { verdict: 'stop', reason: 'checked', nextAction: 'Go on.', ...numbers };
    expect(gateWords(gate)).toBe(words);
  });

  it('tells an uncertainty as give or take, which is two standard deviations', () => {
    const gate = {
      verdict: 'caution',
      reason: 'tilt uncertainty',
      value: 0.2,
      limit: 0.15,
      nextAction: 'Go on.',
    } as const;
    expect(gateWords({ ...gate, unit: 'deg', isSigma: true })).toBe(
      'tilt uncertainty: give or take 0.4 degrees (limit 0.3 degrees). Go on.',
    );
    expect(gateWords({ ...gate, unit: 'deg' })).toBe('tilt uncertainty: 0.2 degrees (limit 0.15 degrees). Go on.');
    expect(sigmaChecks(0.01, 0.004, undefined).map((check) => judge(check).isSigma)).toEqual([true, true]);
  });
});

describe('a base whose east side is high', () => {
  it('says what each adjuster does to the other axis', () => {
    const lying = (sense: number) =>
      ({ accelG: [0, -sense * Math.sin(degree), Math.cos(degree)], sigmaAccelG: 1e-4 }) as const;
    const place = { poleAltitudeRad: 47 * degree, fieldNt: 52_000, dipRad: 67 * degree, variationRad: 0 };
    const level = fitLevel(lying(1), lying(-1), place);
    expect(level.eastHighRad / degree).toBeCloseTo(1, 6);
    expect(levelWords(level)[1]).toBe(
      'Each degree on the azimuth bolts toward east raises the axis by 1.0 arcminutes; ' +
        'each degree upward on the altitude bolt moves it 2.3 arcminutes toward west.',
    );
    // turned a little off half a turn by hand, so that the small side tilt is hardly more than its uncertainty
    const small = { ...level, altitudePerAzimuth: 0.44 * degree, azimuthPerAltitude: -0.78 * degree };
    expect(levelWords({ ...small, sigmaTiltRad: 0.18 * degree })[1]).toMatch(/0\.8 arcminutes toward west/);
    expect(levelWords({ ...small, sigmaTiltRad: 0.3 * degree })[1]).toBe(
      'A degree on one adjuster moves the other axis by 1.9 arcminutes at most.',
    );
    const flat = fitLevel({ accelG: [0, 0, 1], sigmaAccelG: 1e-4 }, { accelG: [0, 0, 1], sigmaAccelG: 1e-4 }, place);
    expect(levelWords(flat)[1]).toMatch(/Neither adjuster disturbs the other/);
  });
});

describe('a board off its clip', () => {
  const needles = (altitudeErrorDeg: number): Needles =>
    needlesAtRest(altitudeErrorDeg * degree, {
      azimuthErrorRad: 0.01,
      distanceRad: 0.7,
      isOffClip: altitudeErrorDeg < -20,
    });

  it('is told to machines, and where no terminal is it is told instead of numbers', () => {
    expect(needlesJson(needles(-40), 'board', '', 0)).toMatchObject({ offClip: true });
    expect(needlesJson(needles(-4), 'board', '', 0)).not.toHaveProperty('offClip');
    vi.useFakeTimers();
    let text = '';
    const write = vi.spyOn(process.stdout, 'write').mockImplementation((part) => ((text += String(part)), true));
    let now = needles(-40);
    const session = { latest: () => now, onLink: () => () => {}, notes: () => [], knobs: {} } as unknown as LiveSession;
    const lines = new PlainLines(session, { isTurning: () => false } as unknown as Practice);
    vi.advanceTimersByTime(1100);
    expect(text).toMatch(/off its clip: .*cannot show where the axis points/);
    expect(text).not.toMatch(/Raise|low,/);
    now = needles(-4);
    vi.advanceTimersByTime(1000);
    expect(text).toMatch(/altitude 4\.\d*° low/);
    text = '';
    now = { ...now, state: 'disturbed' };
    vi.advanceTimersByTime(1000);
    expect(text).toMatch(/disturbed .*Do not trust the azimuth.*Raise the axis/);
    expect(text).not.toMatch(/toward (west|east)/);
    lines.close();
    write.mockRestore();
    vi.useRealTimers();
  });
});

describe('the line for machines', () => {
  const needles = needlesAtRest(0.25 * degree, {
    azimuthErrorRad: -0.5 * degree,
    distanceRad: 0.4 * degree,
    sigmaAltitudeErrorRad: 0.02 * degree,
    sigmaAzimuthErrorRad: 0.35 * degree,
    sigmaDistanceRad: 0.3 * degree,
    arrivalS: 5,
    truth: { altitudeErrorRad: 0.1, azimuthErrorRad: 0.2, distanceRad: 0.3 },
  });

  it('carries what is measured, one sigma, and not what is held for the eye', () => {
    const held = { ...needles, altitudeErrorRad: 0.3 * degree, sigmaAzimuthErrorRad: 0.5 * degree };
    expect(needlesJson(held, 'board', 'Reading.', 5.5)).toMatchObject({
      altitudeErrorDeg: 0.3,
      sigmaAltitudeErrorDeg: 0.02,
      azimuthErrorDeg: -0.5,
      sigmaAzimuthErrorDeg: 0.5,
      distanceDeg: 0.4,
      sigmaDistanceDeg: 0.3,
      ageS: 0.5,
    });
    expect(needlesJson(needles, 'board', 'Reading.', 5.5)).not.toHaveProperty('reason');
  });

  it('tells why it is stale, and no old number', () => {
    const { ageS, reason, state, timeUtc, kind, source, ...rest } = needlesJson(
      { ...needles, state: 'stale' },
      'board',
      'The stream stopped.',
      9,
    );
    expect({ ageS, reason, state, kind, source }).toEqual({
      ageS: 4,
      reason: 'The stream stopped.',
      state: 'stale',
      kind: 'needles',
      source: 'board',
    });
    expect(timeUtc).toBeTypeOf('string');
    expect(Object.keys(rest)).toHaveLength(8);
    expect(Object.values(rest).every((value) => value === null)).toBe(true);
  });
});
