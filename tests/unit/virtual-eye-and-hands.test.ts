// The eye at the virtual tube, the hands that practise, gravity at rest, and the hour that the virtual sky shows.
import { afterEach, describe, expect, it, vi } from 'vitest';
import { arcminute, arcsecond, degree } from '../../calibration/angle.ts';
import { Hands } from '../../firmware-proto/virtual/hands.ts';
import { scenes, type SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { eyepieceOf, utcOf } from '../../host/live/eyepiece.ts';
import { gravityAtRest } from '../../host/live/gravityAtRest.ts';
import { handsNote, practise } from '../../host/live/practice.ts';
import type { LiveSession, Needles } from '../../host/live/session.ts';
import { virtualNightFrom } from '../../host/live/virtualNight.ts';
import { starlight } from '../../host/sky/starlight.ts';
import { testModel, north } from './liveSamples.ts';
import { needlesAtRest } from './needlesAtRest.ts';

const startUtc = new Date('2026-11-29T04:30:00Z');
const date = startUtc;
const meanOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
const spreadOf = (values: readonly number[]): number => {
  const mean = meanOf(values);
  return Math.sqrt(meanOf(values.map((value) => (value - mean) ** 2)));
};
const rest = (scene: SceneName, seed = 4) => {
  const world = createWorld(scene, { seed, date });
  world.advanceTo(40);
  return { world, eye: eyepieceOf(world, startUtc) };
};

describe.each(['orchard', 'woolshed'] as const)('the eye at the tube in the scene %s', (scene) => {
  const hemisphere = Math.sign(scenes[scene].place.latitudeRad);
  const declinationRad = hemisphere * 22 * degree;
  const star = { hourAngleRad: -0.6, declinationRad };

  it('has a clock that goes with the world from the start, and notes a moment to a second', () => {
    const { world, eye } = rest(scene);
    expect(eye.utc()).toEqual(startUtc);
    expect(utcOf({ virtual: { eyepiece: eye } })).toEqual(startUtc);
    world.advanceTo(52.5);
    expect(eye.utc().getTime() - startUtc.getTime()).toBe(12_500);
    const off = Array.from({ length: 400 }, () => eye.pressUtc().getTime() - eye.utc().getTime());
    expect(Math.abs(meanOf(off))).toBeLessThan(200);
    expect(spreadOf(off)).toBeGreaterThan(880);
    expect(spreadOf(off)).toBeLessThan(1120);
  });

  it('centres a star where it stands by the clock when the hands are done, and reads the field around it', async () => {
    const { world, eye } = rest(scene);
    const asked: number[] = [];
    const centred = eye.centre(
      (utc) => {
        asked.push(utc.getTime() - startUtc.getTime());
        return star;
      },
      hemisphere > 0 ? 'west' : 'east',
    );
    world.advanceTo(world.hands.readyS);
    await centred;
    // slewing takes four seconds
    expect(asked).toEqual([4000]);
    const north = (by: number) => ({ ...star, declinationRad: declinationRad + by });
    const east = (by: number) => ({ ...star, hourAngleRad: star.hourAngleRad - by / Math.cos(declinationRad) });
    const here = eye.readField(star, 0);
    if (!here) throw new Error('out of the field');
    // an eye centres to 1.5 arcminutes in each direction
    expect(Math.hypot(here.northRad, here.eastRad)).toBeLessThan(7 * arcminute);
    const [up, left] = [eye.readField(north(3 * arcminute), 0)!, eye.readField(east(5 * arcminute), 0)!];
    expect((up.northRad - here.northRad) / arcminute).toBeCloseTo(3, 1);
    // the field is turned by as much as the axis is off
    expect(Math.abs(up.eastRad - here.eastRad) / arcminute).toBeLessThan(0.4);
    expect((left.eastRad - here.eastRad) / arcminute).toBeCloseTo(5, 0);
    expect(Math.abs(left.northRad - here.northRad) / arcminute).toBeLessThan(0.6);
    const reads = Array.from({ length: 300 }, () => eye.readNorth(north(3 * arcminute))!);
    expect((meanOf(reads) - up.northRad) / arcsecond).toBeCloseTo(0, 0);
    expect(spreadOf(reads) / arcsecond).toBeGreaterThan(1.7);
    expect(spreadOf(reads) / arcsecond).toBeLessThan(2.3);
    for (const key of ['northRad', 'eastRad'] as const) {
      const usual = Array.from({ length: 300 }, () => eye.readField(star)![key]);
      const coarse = Array.from({ length: 300 }, () => eye.readField(star, arcminute)![key]);
      expect(Math.abs(meanOf(coarse) - here[key])).toBeLessThan(0.2 * arcminute);
      expect(spreadOf(coarse) / arcminute).toBeGreaterThan(0.85);
      expect(spreadOf(coarse) / arcminute).toBeLessThan(1.15);
      expect(spreadOf(usual) / arcsecond).toBeGreaterThan(1.7);
      expect(spreadOf(usual) / arcsecond).toBeLessThan(2.3);
    }
    const behind = { hourAngleRad: star.hourAngleRad + Math.PI, declinationRad: -declinationRad };
    expect([eye.readNorth(behind), eye.readField(behind)]).toEqual([undefined, undefined]);
  });

  it('follows with the drive where that is asked, until it is stopped', async () => {
    const { world, eye } = rest(scene);
    const centred = eye.centre(() => star, 'west', true);
    world.advanceTo(world.hands.readyS);
    await centred;
    expect(world.mount.driveRadPerS).not.toBe(0);
    eye.stopDrive();
    world.advanceTo(world.hands.readyS + 0.1);
    expect(world.mount.driveRadPerS).toBe(0);
  });
});

it('without a virtual sky the clock is that of the computer', () => {
  vi.useFakeTimers({ toFake: ['Date'], now: 1_234_567 });
  expect(utcOf({})).toEqual(new Date(1_234_567));
  vi.useRealTimers();
});

describe('hands that practise', () => {
  afterEach(() => void vi.useRealTimers());
  const begun = (startAfterS = 5) => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'performance'] });
    const world = createWorld('orchard', { seed: 4, date });
    const told = { needles: needlesAtRest(2 * degree) as Needles | undefined, hands: () => '', isOver: false };
    const virtual = { hands: world.hands, tellHands: (words: () => string) => (told.hands = words) };
    const session = { virtual, latest: () => told.needles } as unknown as LiveSession;
    return { world, told, practice: practise(session, startAfterS, 7, () => told.isOver) };
  };

  it('turn a bolt when their time has come, the needles rest, and nothing was measured on the sky', () => {
    const { world, told, practice } = begun();
    vi.advanceTimersByTime(4900);
    expect(world.hands.busy()).toBe(false);
    expect(practice.words()).toBe('Virtual hands rest; they turn the bolts by themselves.');
    expect(told.hands()).toBe(handsNote);
    expect(practice.isTurning()).toBe(false);
    for (const hindrance of [
      { needles: needlesAtRest(0.04, { state: 'moving' }) },
      { needles: undefined },
      { isOver: true },
    ]) {
      const before = { ...told };
      Object.assign(told, hindrance);
      vi.advanceTimersByTime(3000);
      expect(world.hands.busy()).toBe(false);
      Object.assign(told, { needles: before.needles, isOver: false });
    }
    vi.advanceTimersByTime(1000);
    world.advanceTo(0.5);
    expect(world.hands.boltTurned()).toBe('altitude');
    expect(practice.isTurning()).toBe(true);
    expect(practice.words()).toBe('Virtual hands are turning the altitude bolt.');
    told.isOver = true;
    expect([practice.words(), told.hands()]).toEqual(['', '']);
    practice.stop();
  });

  it('turn the bolt of the larger error, say so, and let an error of less than six arcminutes be', () => {
    const { world, told, practice } = begun(0);
    told.needles = needlesAtRest(0.5 * degree, { azimuthErrorRad: -1.5 * degree });
    vi.advanceTimersByTime(2000);
    world.advanceTo(0.5);
    expect(practice.words()).toBe('Virtual hands are turning the azimuth bolts.');
    practice.stop();
    const calm = begun(0);
    calm.told.needles = needlesAtRest(5.5 * arcminute, { azimuthErrorRad: -5 * arcminute });
    vi.advanceTimersByTime(2000);
    calm.world.advanceTo(0.5);
    expect(calm.world.hands.busy()).toBe(true);
    expect(calm.practice.isTurning()).toBe(false);
    calm.practice.stop();
  });

  it('leave the bolts to a person for good, and let go of what they hold, once', () => {
    const { world, told, practice } = begun(0);
    vi.advanceTimersByTime(2000);
    world.advanceTo(0.5);
    const letGo = vi.spyOn(Hands.prototype, 'letGo');
    practice.person();
    practice.person();
    expect(letGo).toHaveBeenCalledTimes(1);
    letGo.mockRestore();
    expect([practice.words(), told.hands(), practice.isTurning()]).toEqual(['', '', false]);
    world.advanceTo(60);
    vi.advanceTimersByTime(10_000);
    expect(world.hands.busy()).toBe(false);
  });

  it('stop when they are told to', () => {
    const { world, practice } = begun(0);
    practice.stop();
    vi.advanceTimersByTime(5000);
    expect(world.hands.busy()).toBe(false);
  });

  it('are not there at a real mount', () => {
    const practice = practise({ latest: () => needlesAtRest(2 * degree) } as unknown as LiveSession, 0);
    practice.person();
    practice.stop();
    expect([practice.words(), practice.isTurning()]).toEqual(['', false]);
  });
});

it('gravity at rest is the mean of what comes within a second, corrected, as a direction', async () => {
  vi.useFakeTimers({ toFake: ['setTimeout'] });
  const listeners = new Set<(sample: { accelG: readonly number[] }) => void>();
  const session = {
    onSample: (listener: (sample: { accelG: readonly number[] }) => void) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  } as unknown as LiveSession;
  const model = testModel(north);
  const accelerometer = { ...model.correction.accelerometer, bias: [0.1, 0, 0] as const };
  const correction = { ...model.correction, accelerometer };
  const found = gravityAtRest(session, { ...model, correction });
  const say = (accelG: readonly number[]): void => listeners.forEach((listener) => listener({ accelG }));
  say([0.7, 0.2, 0.9]);
  say([0.7, 0.6, 0.7]);
  vi.advanceTimersByTime(999);
  expect(listeners.size).toBe(1);
  vi.advanceTimersByTime(1);
  vi.useRealTimers();
  const length = Math.hypot(1.2, 0.8, 1.6);
  (await found).forEach((part, i) => expect(part).toBeCloseTo([1.2, 0.8, 1.6][i] / length, 9));
  expect(listeners.size).toBe(0);
});

describe('the hour that a virtual sky shows', () => {
  const place = { latitudeRad: 46 * degree, longitudeRad: 8 * degree, elevationM: 0 };
  const from = (utc: string, site = place): string => virtualNightFrom(site, new Date(utc)).toISOString();
  const darkFrom = (utc: string): string => starlight(place, new Date(utc), 4).darkFrom!.toISOString();

  it('is now where it is dark and stays so for two hours', () => {
    for (const utc of ['2026-11-29T19:00:00.000Z', '2026-11-30T02:50:00.000Z']) expect(from(utc)).toBe(utc);
  });

  it('is the next nightfall by day, and where the day comes within two hours', () => {
    const evening = darkFrom('2026-11-29T12:00:00Z');
    expect(from('2026-11-29T12:00:00Z')).toBe(evening);
    expect(from('2026-11-29T16:00:00Z')).toBe(evening);
    // nautical dawn is at about 05:30 UTC
    expect(from('2026-11-29T04:30:00Z').slice(0, 15)).toBe(evening.slice(0, 15));
  });

  it('is now where the Sun does not sink far enough', () => {
    const far = { ...place, latitudeRad: 70 * degree };
    expect(from('2026-06-20T21:00:00.000Z', far)).toBe('2026-06-20T21:00:00.000Z');
  });
});
