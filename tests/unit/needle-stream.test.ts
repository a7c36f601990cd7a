// From samples to needles, and when no sample comes: what is carried over a change of target, and when they are called stale.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { truePole } from '../../calibration/polarAxis.ts';
import type { BoardSample } from '../../host/link/boardSample.ts';
import { NeedleStream } from '../../host/live/needleStream.ts';
import type { Needles } from '../../host/live/session.ts';
import { north, readingAt, testModel } from './liveSamples.ts';

const still = { altitudeErrorDeg: 1.25, azimuthErrorDeg: -0.5 };
const targetAt = (latitudeDeg: number) => ({
  pole: truePole(latitudeDeg * degree),
  variationRad: 14 * degree,
  sigmaVariationRad: 0.006,
});
const known = { altitudeErrorRad: 0, azimuthErrorRad: 0, sigmaAltitudeErrorRad: 1e-4, sigmaAzimuthErrorRad: 2e-4 };

describe('needles', () => {
  let stream: NeedleStream;
  let told: Needles[];
  let count: number;
  const offer = (pose = still): void => {
    count += 1;
    const sample: BoardSample = {
      ...readingAt(north, pose),
      arrivalS: performance.now() / 1000,
      boardS: count / 100,
      sequence: count,
      temperatureC: 6.5,
    };
    stream.offer(sample);
  };
  const run = (samples: number): void => {
    for (let i = 0; i < samples; i += 1) {
      vi.advanceTimersByTime(10);
      offer();
    }
  };
  const wait = (ms: number): void => void vi.advanceTimersByTime(ms);
  const opened = (utcOf?: (boardS: number) => number): void => {
    stream?.close();
    stream = new NeedleStream(targetAt(47), undefined, utcOf);
    stream.listeners.add((needles) => told.push(needles));
  };

  beforeEach(() => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'performance', 'Date'], now: 1_800_000_000_000 });
    [told, count] = [[], 0];
    opened();
  });
  afterEach(() => {
    stream.close();
    vi.useRealTimers();
  });

  it('tell one for one the errors, when the sample came and how warm the board was', () => {
    stream.use(testModel(north));
    run(30);
    expect(told).toHaveLength(30);
    expect(told[29]).toMatchObject({ utcMs: Date.now(), temperatureC: 6.5, isOffClip: false, isAnchored: false });
    expect(told[29].altitudeErrorRad / degree).toBeCloseTo(1.25, 6);
    expect(told[29].azimuthErrorRad / degree).toBeCloseTo(-0.5, 6);
    expect(told[29].arrivalS).toBe(performance.now() / 1000);
    expect(stream.latest()).toBe(told[29]);
  });

  it('of a recording bear its times, also when they grow stale', () => {
    opened((boardS) => 5000 + 1000 * boardS);
    stream.use(testModel(north));
    run(100);
    expect(told.at(-1)?.utcMs).toBe(6000);
    wait(800);
    expect(told.at(-1)).toMatchObject({ state: 'stale', utcMs: 6000 });
  });

  it('start anew against another target, and need a model and a target', () => {
    stream.use(testModel(north));
    run(20);
    stream.aimAt(targetAt(46));
    expect(stream.latest()).toBeUndefined();
    run(1);
    expect(told.at(-1)!.altitudeErrorRad / degree).toBeCloseTo(2.25, 6);
    stream.aimAt(undefined);
    run(5);
    expect(stream.latest()).toBeUndefined();
    opened();
    stream.aimAt(targetAt(46));
    run(5);
    expect(stream.latest()).toBeUndefined();
    stream.use(testModel(north));
    run(1);
    expect(stream.latest()!.altitudeErrorRad / degree).toBeCloseTo(2.25, 6);
  });

  it('carry on an answer of the sky until they are let go, or start from another model', () => {
    stream.anchorTo(known);
    stream.anchorTo(undefined);
    stream.use(testModel(north));
    run(100);
    expect(stream.latest()!.isAnchored).toBe(false);
    stream.anchorTo(known);
    run(1);
    expect(stream.latest()).toMatchObject({ isAnchored: true });
    expect(stream.latest()!.altitudeErrorRad / degree).toBeCloseTo(0, 6);
    expect(stream.latest()!.shown.altitudeErrorRad / degree).toBeCloseTo(0, 6);
    stream.anchorTo(undefined);
    run(1);
    expect(stream.latest()).toMatchObject({ isAnchored: false });
    expect(stream.latest()!.altitudeErrorRad / degree).toBeCloseTo(1.25, 6);
    expect(stream.latest()!.shown.altitudeErrorRad / degree).toBeCloseTo(1.25, 6);
    stream.anchorTo(known);
    stream.use(testModel(north));
    run(1);
    expect(stream.latest()!.isAnchored).toBe(false);
    stream.takeBoard(true);
    run(1);
    expect(stream.latest()!.isOffClip).toBe(true);
  });

  it('are stale half a second after the last sample, and say so twice a second, no sooner and no more often', () => {
    stream.use(testModel(north));
    run(100);
    wait(400);
    expect(stream.latest()!.state).not.toBe('stale');
    wait(200);
    expect(stream.latest()!.state).toBe('stale');
    const first = told.length;
    wait(300);
    expect(told).toHaveLength(first);
    wait(100);
    expect(told).toHaveLength(first + 1);
    expect(told.at(-1)!.utcMs).toBe(Date.now());
    wait(2000);
    expect(told).toHaveLength(first + 5);
  });

  it('wait five of the usual intervals, of which the latest 31 count', () => {
    stream.use(testModel(north));
    expect(stream.staleAfterS()).toBe(1.5);
    let boardS = 0;
    const tick = (intervalS: number): void =>
      stream.offer({
        ...readingAt(north, still),
        arrivalS: performance.now() / 1000,
        boardS: (boardS += intervalS),
        sequence: 0,
      });
    tick(0.4);
    // the first has none before it, and one of none or less is none
    expect(stream.staleAfterS()).toBe(1.5);
    for (let i = 0; i < 15; i += 1) tick(0.3);
    for (let i = 0; i < 40; i += 1) tick(0);
    tick(-0.2);
    expect(stream.staleAfterS()).toBeCloseTo(1.5, 6);
    for (let i = 0; i < 16; i += 1) tick(0.8);
    expect(stream.staleAfterS()).toBeCloseTo(4, 6);
    for (let i = 0; i < 15; i += 1) tick(0.35);
    expect(stream.staleAfterS()).toBeCloseTo(4, 6);
    tick(0.35);
    expect(stream.staleAfterS()).toBeCloseTo(1.75, 6);
    for (let i = 0; i < 31; i += 1) tick(0.02);
    expect(stream.staleAfterS()).toBe(0.5);
  });

  it.each([
    [700, 'still'],
    [130, 'stale'],
  ])(
    'of a process that was held up for %d ms more than its tenth of a second are %s at the first look',
    (lateMs, state) => {
      stream.use(testModel(north));
      run(100);
      // alive at the last look, and old enough at the next
      wait(400);
      const onTime = performance.now.bind(performance);
      let late = 0;
      const clock = vi.spyOn(performance, 'now').mockImplementation(() => onTime() + late);
      late += lateMs;
      wait(100);
      const atFirst = stream.latest()!.state;
      // late again, and nothing has come
      late += lateMs;
      wait(100);
      const atSecond = stream.latest()!.state;
      clock.mockRestore();
      expect([atFirst, atSecond]).toEqual([state, 'stale']);
    },
  );

  it('once given a turn, samples that come are not stale, and the next delay is given one again', () => {
    stream.use(testModel(north));
    run(100);
    const onTime = performance.now.bind(performance);
    let late = 0;
    const clock = vi.spyOn(performance, 'now').mockImplementation(() => onTime() + late);
    for (let i = 0; i < 3; i += 1) {
      late += 900;
      wait(100);
      offer();
      wait(100);
      offer();
    }
    clock.mockRestore();
    expect(told.some((needles) => needles.state === 'stale')).toBe(false);
  });

  it('are told to nobody after the end', () => {
    stream.use(testModel(north));
    run(100);
    const before = told.length;
    stream.close();
    offer();
    wait(3000);
    expect(told).toHaveLength(before);
  });
});
