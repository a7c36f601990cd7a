import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { truePole } from '../../calibration/polarAxis.ts';
import { NeedleStream } from '../../host/live/needleStream.ts';
import type { BoardSample } from '../../host/link/boardSample.ts';
import type { Needles } from '../../host/live/session.ts';
import { north, readingAt, testModel } from '../unit/liveSamples.ts';

const reading = readingAt(north, { altitudeErrorDeg: 1, azimuthErrorDeg: 1 });

describe('needles of a board that falls silent', () => {
  let stream: NeedleStream;
  let told: Needles[];
  let count: number;

  const sample = (): BoardSample => {
    count += 1;
    return { ...reading, arrivalS: performance.now() / 1000, boardS: count / 100, sequence: count, temperatureC: 10 };
  };
  const run = (seconds: number, isStreaming: boolean): void => {
    for (let i = 0; i < seconds * 100; i += 1) {
      vi.advanceTimersByTime(10);
      if (isStreaming) stream.offer(sample());
    }
  };

  beforeEach(() => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'performance', 'Date'] });
    count = 0;
    told = [];
    stream = new NeedleStream({ pole: truePole(0.7), variationRad: 0.07, sigmaVariationRad: 0.006 });
    stream.use(testModel(north));
    stream.listeners.add((needles) => told.push(needles));
  });
  afterEach(() => {
    stream.close();
    vi.useRealTimers();
  });

  it('are never called stale while samples come', () => {
    run(5, true);
    expect(told.length).toBe(500);
    expect(told.some(({ state }) => state === 'stale')).toBe(false);
  });

  it('are stale within 0.7 s of the last sample, keep its time of arrival, and say so again and again', () => {
    run(3, true);
    const last = told.at(-1);
    run(0.7, false);
    expect(stream.latest()?.state).toBe('stale');
    expect(stream.latest()?.arrivalS).toBe(last?.arrivalS);
    const soFar = told.length;
    run(3, false);
    expect(told.length - soFar).toBeGreaterThanOrEqual(4);
    expect(told.slice(soFar).every(({ state }) => state === 'stale')).toBe(true);
  });

  it('are stale within a second and a half, too, in a process that is always late', () => {
    run(3, true);
    const onTime = performance.now.bind(performance);
    let lateMs = 0;
    const clock = vi.spyOn(performance, 'now').mockImplementation(() => onTime() + lateMs);
    for (let tick = 0; tick < 4 && stream.latest()?.state !== 'stale'; tick += 1) {
      lateMs += 300;
      vi.advanceTimersByTime(100);
    }
    clock.mockRestore();
    expect(stream.latest()?.state).toBe('stale');
  });

  it('live again with the first sample after', () => {
    run(3, true);
    run(2, false);
    stream.offer(sample());
    expect(stream.latest()?.state).not.toBe('stale');
  });

  it('a board at 10 a second is not stale between two samples', () => {
    for (let i = 0; i < 40; i += 1) {
      vi.advanceTimersByTime(100);
      stream.offer({ ...sample(), boardS: i / 10 });
    }
    expect(told.some(({ state }) => state === 'stale')).toBe(false);
    expect(stream.staleAfterS()).toBeCloseTo(0.5, 6);
  });

  it('grows stale after five of the usual intervals, the middle of the latest', () => {
    // seven of 0.2 s, three of 0.9 s: no mean
    let boardS = 0;
    for (const intervalS of [0.2, 0.9, 0.2, 0.2, 0.9, 0.2, 0.2, 0.2, 0.9, 0.2])
      stream.offer({ ...sample(), boardS: (boardS += intervalS) });
    expect(stream.staleAfterS()).toBeCloseTo(5 * 0.2, 6);
  });

  it('no needle is shown before a model is known', () => {
    const blind = new NeedleStream({ pole: truePole(0.7), variationRad: 0, sigmaVariationRad: 0 });
    blind.offer(sample());
    expect(blind.latest()).toBeUndefined();
    blind.close();
  });
});
