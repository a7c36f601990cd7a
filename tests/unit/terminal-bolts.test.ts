import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { LiveSession, Needles } from '../../host/live/session.ts';
import { KnobCount } from '../../host/terminal/knobCount.ts';
import { LockCheck } from '../../host/terminal/lockCheck.ts';
import { plainAxisModel } from './plainAxisModel.ts';
import { needlesWith, needles } from './terminalScenery.ts';

describe('counting a turn of a virtual bolt', () => {
  it('says how many presses it is, waits for the needles by itself, and is left with Esc', () => {
    let now: Needles = { ...needles, state: 'moving' };
    const session = { latest: () => now, knobs: {}, virtual: { turnBolt: () => {} } } as unknown as LiveSession;
    const count = new KnobCount(session);
    count.begin();
    expect(count.words).toContain('goes on by itself');
    count.look();
    expect(count.words).toContain('goes on by itself');
    now = needles;
    count.look();
    expect(count.words).toContain('16 presses of one arrow');
    now = { ...needles, state: 'moving' };
    count.turned('altitude');
    now = needlesWith({ altitudeErrorRad: needles.altitudeErrorRad + 1.2 * degree });
    count.look();
    expect(count.words).toMatch(/^One turn in altitude is 1\.[0-4]\d°, give or take/);
    expect(count.isUnderWay).toBe(false);
    count.begin();
    count.leave();
    expect(count.words).toBe('');
    count.turned('azimuth');
    expect(count.words).toBe('Press k first, then turn the bolt.');
  });
});

describe('locking by key', () => {
  /** A board whose axis rests at 35 degrees and so much more. */
  function restingSession() {
    let offer: (sample: unknown) => void = () => {};
    let atS = 0;
    const session = {
      latest: () => needles,
      axisModel: () => plainAxisModel,
      onSample: (listener: typeof offer) => {
        offer = listener;
        return () => {};
      },
    } as unknown as LiveSession;
    const rest = (higherDeg: number): void => {
      const up = (35 + higherDeg) * degree;
      const turned = (65 + 35 + higherDeg) * degree;
      for (let i = 0; i < 300; i += 1) {
        atS += 0.02;
        const noise = 0.001 * ((i % 3) - 1);
        offer({
          boardS: atS,
          accelG: [Math.sin(up) + noise, 0, Math.cos(up)],
          fieldNt: [-54_000 * Math.cos(Math.PI - turned), 0, -54_000 * Math.sin(turned)],
          temperatureC: 10,
        });
      }
    };
    return { session, rest };
  }

  it('asks for a rest, for tight bolts and a rest again, and tells what moved with before and after', () => {
    const { session, rest } = restingSession();
    const told: string[] = [];
    const lock = new LockCheck(session, {
      lockBegins: () => told.push('begins'),
      locked: ({ altitudeShiftRad }) => told.push(`moved ${(altitudeShiftRad / degree).toFixed(2)}`),
      lockLeft: () => told.push('left'),
    });
    lock.press();
    expect(lock.words).toMatch(/^Hands off the mount for two seconds before locking/);
    lock.press();
    expect(lock.isUnderWay).toBe(true);
    rest(0);
    lock.look();
    lock.look();
    expect(lock.words).toMatch(/^Mind your fingers.* Tighten the bolts.*Then press t\./);
    rest(1);
    lock.look();
    expect(lock.words).toMatch(/^Are the bolts tight/);
    lock.press();
    expect(lock.words).toMatch(/^Locking moved the axis 60.0′ high.*Before: altitude .* After: altitude /);
    expect(lock.isUnderWay).toBe(false);
    lock.leave();
    expect(lock.words).toBe('');
    expect(told).toEqual(['begins', 'moved 1.00']);
  });
});
