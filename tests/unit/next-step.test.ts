import { describe, expect, it } from 'vitest';
import type { Answer } from '../../calibration/answer.ts';
import { arcminute, degree } from '../../calibration/angle.ts';
import { nextAfter, nextStep } from '../../host/night/next.ts';
import { stepOrder, type Tonight } from '../../host/night/stepsOfNight.ts';
import { tonightOf } from '../../host/night/tonight.ts';
import type { NightEntry } from '../../host/night/nightEntry.ts';

const nowMs = Date.parse('2026-11-25T20:00:00Z');
const minutesAgo = (minutes: number): number => nowMs - minutes * 60_000;
const latitudeRad = 47.25 * degree;
const dark = { hasStars: true, starsFrom: null, sunIsUp: false };

/** An answer so far up and east of the pole on the sky, known to different sigmas in each, arcminutes. */
function answerAt(up: number, east: number, sigmaUp: number, sigmaEast: number): Answer {
  const across = Math.cos(latitudeRad);
  return {
    altitudeErrorRad: up * arcminute,
    azimuthErrorRad: (east * arcminute) / across,
    axisCovariance: [(sigmaUp * arcminute) ** 2, 0, 0, ((sigmaEast * arcminute) / across) ** 2],
    distanceRad: Math.hypot(up, east) * arcminute,
    sigmaDistanceRad: Math.hypot(sigmaUp, sigmaEast) * Math.SQRT1_2 * arcminute,
    parts: [],
    agreement: 1,
  };
}

const locking = {
  altitudeShiftRad: -4 * arcminute,
  azimuthShiftRad: 3 * arcminute,
  covariance: [(0.4 * arcminute) ** 2, 0, 0, (0.9 * arcminute) ** 2],
} as const;

const tonight = (known: Partial<Tonight>): Tonight => ({
  nowMs,
  latitudeRad,
  sky: dark,
  done: {},
  lockings: [],
  lockingsTonight: known.lockings?.length ?? 0,
  ...known,
});
const upTo = (...steps: (keyof Tonight['done'])[]): Tonight['done'] =>
  Object.fromEntries(steps.map((step, i) => [step, minutesAgo(90 - 5 * i)]));
const stepOf = (known: Partial<Tonight>) => nextStep(tonight(known)).step;

describe('before the sky', () => {
  it('walks from the site to the first star, one step after the other', () => {
    expect(stepOf({ latitudeRad: undefined })).toBe('site');
    expect(stepOf({})).toBe('tumble');
    expect(stepOf({ done: upTo('tumble') })).toBe('level');
    expect(stepOf({ done: upTo('tumble', 'level') })).toBe('swing');
    expect(stepOf({ done: upTo('tumble', 'level', 'swing') })).toBe('needles');
    expect(stepOf({ done: upTo('tumble', 'level', 'swing', 'needles') })).toBe('load');
    expect(stepOf({ done: upTo('tumble', 'level', 'swing', 'needles', 'load') })).toBe('balance');
    expect(stepOf({ done: upTo('tumble', 'level', 'swing', 'needles', 'balance') })).toBe('sight');
  });

  it('does not ask again for a step that was skipped', () => {
    expect(stepOf({ done: upTo('tumble', 'swing') })).toBe('needles');
    expect(stepOf({ done: upTo('needles', 'balance') })).toBe('sight');
    expect(stepOf({ done: upTo('balance') }), 'a rig tells nothing of the board').toBe('tumble');
  });

  it('waits for the dark, and by day offers the Sun by its shadow once', () => {
    const done = upTo('tumble', 'level', 'swing', 'needles', 'balance');
    const starsFrom = new Date('2026-11-25T21:12:00Z');
    const day = nextStep(tonight({ done, sky: { hasStars: false, starsFrom, sunIsUp: true } }));
    expect(day).toMatchObject({ step: 'sun', command: 'lodepole sight --sun --shadow DEGREES --keep' });
    expect(day.reason).toContain('Never look at the Sun');
    const after = nextStep(
      tonight({ done: { ...done, sun: minutesAgo(3) }, sky: { hasStars: false, starsFrom, sunIsUp: true } }),
    );
    expect(after).toMatchObject({ step: 'wait' });
    expect(after.reason).toContain('from 21:12 UTC, in 72 minutes');
    expect(stepOf({ done, sky: { hasStars: false, starsFrom: null, sunIsUp: false } })).toBe('wait');
  });
});

describe('on the sky', () => {
  const sky = { done: upTo('tumble', 'swing', 'sight'), measuredMs: minutesAgo(10) };
  const visual = { allowedRad: 12 * arcminute, words: '40 minutes in a field of 50′' };
  const strict = { allowedRad: 2 * arcminute, words: 'exposures of 120 s' };

  it('asks for the plan first', () => expect(stepOf({ ...sky, answer: answerAt(9, -12, 2, 3) })).toBe('enough'));

  it('stops early for the eye, and says what for', () => {
    const near = { ...sky, plan: visual, answer: answerAt(2, -4, 1.5, 2) };
    expect(stepOf(near), 'bolts that nobody locked tonight').toBe('lock');
    expect(stepOf({ ...near, done: { ...sky.done, observe: minutesAgo(1) } }), 'left unlocked on purpose').toBe(
      'sheet',
    );
    const told = nextStep(tonight({ ...near, lockedMs: minutesAgo(3) }));
    expect(told.step).toBe('observe');
    expect(told.reason).toBe(
      'The axis stands 4′ from the pole, give or take 4′: good enough for 40 minutes in a field of 50′. Observe; first see on which side of the mount each target belongs.',
    );
    expect(stepOf({ ...sky, plan: strict, answer: answerAt(2, -4, 1.5, 2) })).toBe('nudge');
    expect(stepOf({ ...sky, plan: strict, answer: answerAt(1, -2, 4, 4.5) })).toBe('drift');
  });

  it('nudges what is far before it measures finer, and tells what a nudge is good for', () => {
    const told = nextStep(tonight({ ...sky, plan: strict, answer: answerAt(9, -12, 2, 3) }));
    expect(told.step).toBe('nudge');
    expect(told.reason).toContain(
      "15′ from the pole, give or take 5′; tonight's plan allows 2.0′ (exposures of 120 s).",
    );
    expect(told.reason).toContain('A nudge on a star brings it to about 3.9′, locked.');
  });

  it('locks after a nudge, measures what locking left, corrects it with what locking does, and comes to an end', () => {
    const nudged = { ...sky, movedMs: minutesAgo(5), plan: strict };
    expect(stepOf({ ...nudged, answer: answerAt(0.6, 0.9, 2, 3) })).toBe('lock');
    const locked = { ...nudged, lockedMs: minutesAgo(3), lockings: [locking] };
    expect(stepOf({ ...locked, answer: answerAt(-2, 1.5, 3, 3.4) })).toBe('drift');
    const proved = { ...locked, measuredMs: minutesAgo(2), done: { ...sky.done, drift: minutesAgo(2) } };
    const shifted = nextStep(tonight({ ...proved, answer: answerAt(3, 2.4, 0.5, 0.7) }));
    expect(shifted.step).toBe('nudge');
    // the mean of -4' and 3' with a prior of none, give or take 5', beside a scatter of 5/3'
    expect(shifted.reason).toMatch(
      /Loosen the bolts, bring the axis to 3\.\d′ high and 2\.\d′ west, the opposite of what locking does here, and lock again\.$/,
    );
    expect(shifted.command).toMatch(/^lodepole nudge --to=3\.\d,-2\.\d$/);
    const { standOff } = shifted;
    // stood off on purpose: the axis is far from the pole, and ready to be locked
    const ready = { ...proved, movedMs: nowMs };
    const off = {
      ...answerAt(0, 0, 1, 1.2),
      altitudeErrorRad: standOff!.altitudeErrorRad + 0.4 * arcminute,
      azimuthErrorRad: standOff!.azimuthErrorRad - 0.3 * arcminute,
      distanceRad: 4 * arcminute,
    };
    expect(nextStep(tonight({ ...ready, answer: off }))).toMatchObject({ step: 'lock' });
    expect(stepOf({ ...ready, answer: { ...off, altitudeErrorRad: -off.altitudeErrorRad } })).toBe('nudge');
    expect(stepOf({ ...proved, answer: answerAt(0.6, 0.4, 0.3, 0.4) })).toBe('observe');
    expect(
      stepOf({ ...proved, lockings: Array(8).fill(locking), measuredMs: nowMs, answer: answerAt(3, 2.4, 0.5, 0.7) }),
    ).toBe('observe');
  });

  it('takes what was measured before a load went on as old', () => {
    const locked = { ...sky, plan: strict, movedMs: minutesAgo(20), lockedMs: minutesAgo(15), lockings: [locking] };
    const measured = { ...locked, measuredMs: minutesAgo(5), done: { ...sky.done, drift: minutesAgo(5) } };
    expect(stepOf({ ...measured, answer: answerAt(0.9, 0.8, 0.9, 1.3) })).toBe('observe');
    expect(stepOf({ ...measured, loadedMs: minutesAgo(2), answer: answerAt(0.9, 0.8, 0.9, 1.3) })).toBe('drift');
  });

  it('goes on to the sheet, once for each state of the axis', () => {
    const good = {
      ...sky,
      plan: visual,
      answer: answerAt(2, -4, 1.5, 2),
      movedMs: minutesAgo(8),
      lockedMs: minutesAgo(6),
    };
    expect(stepOf({ ...good, done: { ...sky.done, observe: minutesAgo(7) } })).toBe('observe');
    expect(stepOf({ ...good, done: { ...sky.done, observe: minutesAgo(4) } })).toBe('sheet');
    expect(stepOf({ ...good, done: { ...sky.done, observe: minutesAgo(4), sheet: minutesAgo(3) } })).toBe('observe');
  });

  it('never advises a nudge whose expected result is farther from the pole than the axis stands', () => {
    for (const up of [0.2, 0.7, 1.3, 2.2, 4, 11])
      for (const sigma of [0.2, 0.6, 1.4, 3]) {
        const told = nextStep(
          tonight({
            ...sky,
            plan: { ...strict, allowedRad: 0.1 * arcminute },
            answer: answerAt(up, 0.1, sigma, 1.3 * sigma),
          }),
        );
        if (told.step === 'nudge') expect(up).toBeGreaterThan(1);
        else expect(up < 1.45 || up < 3 * 1.2 * sigma).toBe(true);
      }
  });
});

describe('out of the log', () => {
  const at = (minutes: number): string => new Date(minutesAgo(minutes)).toISOString();
  const site = { latitudeRad, longitudeRad: 8.3 * degree, elevationM: 0 };
  const estimate = (kind: 'compass' | 'sights' | 'drift', minutes: number): NightEntry => ({
    kind,
    timeUtc: at(minutes),
    altitudeErrorDeg: 0.05,
    azimuthErrorDeg: -0.2,
    sigmaAltitudeErrorDeg: 0.03,
    sigmaAzimuthErrorDeg: 0.06,
    correlation: 0.1,
  });
  const nudge = (minutes: number, by?: 'star' | 'locking' | 'load'): NightEntry => ({
    kind: 'nudge',
    timeUtc: at(minutes),
    altitudeShiftDeg: 0.01,
    azimuthShiftDeg: 0.02,
    ...(by && { by }),
  });

  it('reads what was measured, moved and locked, and when', () => {
    const entries = [
      { kind: 'note', timeUtc: at(70), words: 'Level.', step: 'level' } as const,
      estimate('compass', 60),
      estimate('sights', 50),
      nudge(40, 'star'),
      estimate('drift', 30),
      nudge(20, 'locking'),
      nudge(10, 'load'),
    ];
    const read = tonightOf({ now: new Date(nowMs), site, entries, tumbledMs: 5, swungMs: minutesAgo(100) });
    expect(read).toMatchObject({
      measuredMs: minutesAgo(30),
      movedMs: minutesAgo(40),
      lockedMs: minutesAgo(20),
      loadedMs: minutesAgo(10),
      lockingsTonight: 1,
      lockings: [{ altitudeShiftRad: 0.01 * degree, azimuthShiftRad: 0.02 * degree }],
      done: {
        tumble: 5,
        level: minutesAgo(70),
        swing: minutesAgo(100),
        needles: minutesAgo(60),
        sight: minutesAgo(50),
        drift: minutesAgo(30),
        lock: minutesAgo(20),
        load: minutesAgo(10),
      },
      sky: { hasStars: true, sunIsUp: false },
    });
  });

  it('takes a swing of last week for none, and the Sun for up at noon', () => {
    const read = tonightOf({
      now: new Date('2026-11-25T11:30:00Z'),
      site,
      entries: [],
      tumbledMs: 5,
      swungMs: minutesAgo(9000),
    });
    expect(read.done).toEqual({ tumble: 5 });
    const [remembered] = [{ ...locking, altitudeShiftRad: 2 * arcminute }];
    expect(tonightOf({ now: new Date(nowMs), site, entries: [], lockings: [remembered] })).toMatchObject({
      lockings: [remembered],
      lockingsTonight: 0,
    });
    expect(read.sky).toMatchObject({ hasStars: false, sunIsUp: true });
    expect(read.sky?.starsFrom?.toISOString()).toMatch(/^2026-11-25T16:/);
  });
});

it('goes on in practice to the next step that can be practised', () => {
  expect(nextAfter('tumble', 'orchard')?.command).toBe('lodepole level --virtual orchard');
  expect(nextAfter('needles', 'orchard')?.command).toBe('lodepole load --virtual orchard');
  expect(nextAfter('load', 'orchard')?.command).toBe('lodepole sight --virtual orchard');
  expect(nextAfter('sight', 'woolshed')?.command).toBe(nextAfter('load', 'woolshed')?.command.replace('sight', 'lock'));
  expect(nextAfter('sight', 'woolshed')?.reason).toMatch(/^First nudge on a star: the page practises it\. Lock/);
  expect(nextAfter('load', 'woolshed')?.reason).not.toContain('nudge');
  expect(nextAfter('drift', 'orchard')?.step).toBe('sheet');
  expect(nextAfter(stepOrder[stepOrder.length - 1], 'orchard')).toBeUndefined();
});
