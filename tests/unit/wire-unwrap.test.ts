import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { noCounts } from '../../host/link/counters.ts';
import { SampleClock } from '../../host/link/unwrap.ts';

const seqSpan = 65536;
const microsSpan = 4294967296;

/** A clock that was fed samples `ns` (numbers since power-up) at 100 a second from a board that started at `seq0` and `micros0`. */
function fed(ns: readonly number[], seq0 = 0, micros0 = 0) {
  const counters = noCounts();
  const clock = new SampleClock(counters);
  const accepted: { n: number; sequence: number; boardS: number }[] = [];
  for (const n of ns) {
    const isIn = clock.accept((seq0 + n) % seqSpan, (micros0 + n * 10000) % microsSpan, n / 100);
    if (isIn) accepted.push({ n, sequence: clock.sequence, boardS: clock.boardS });
  }
  return { clock, counters, accepted };
}
const upTo = (end: number): number[] => Array.from({ length: end }, (_, n) => n);

describe('counters of the wire', () => {
  test('the microseconds roll over after 71.6 minutes without a trace', () => {
    expect(microsSpan / 60e6).toBeCloseTo(71.58, 2);
    const { accepted, counters } = fed(upTo(500), 0, microsSpan - 2_503_217);
    expect(accepted).toHaveLength(500);
    expect(accepted.at(-1)).toEqual({ n: 499, sequence: 499, boardS: 4.99 });
    expect(counters).toEqual(noCounts());
  });

  test('ten hours: both counters roll over, nothing is lost and the clock does not drift', () => {
    const count = 3_600_000;
    const counters = noCounts();
    const clock = new SampleClock(counters);
    let accepted = 0;
    for (let n = 0; n < count; n += 1) {
      if (clock.accept(n % seqSpan, (n * 10000) % microsSpan, n / 100)) accepted += 1;
    }
    expect(accepted).toBe(count);
    expect(clock.sequence).toBe(count - 1);
    expect(clock.boardS).toBe((count - 1) / 100);
    expect(counters).toEqual(noCounts());
  });

  test('a gap across both rollovers is counted in samples', () => {
    const ns = upTo(200).filter((n) => n < 90 || n >= 117);
    const { accepted, counters } = fed(ns, seqSpan - 100, microsSpan - 1_000_000);
    expect(accepted).toHaveLength(ns.length);
    expect(counters).toEqual({ ...noCounts(), lost: 27 });
    expect(accepted.at(-1)).toMatchObject({ sequence: 199, boardS: 1.99 });
  });

  test('repeated and reordered samples are counted and not believed', () => {
    const { accepted, counters } = fed([0, 1, 2, 2, 3, 4, 6, 5, 7, 8], seqSpan - 3);
    expect(accepted.map(({ n }) => n)).toEqual([0, 1, 2, 3, 4, 6, 7, 8]);
    expect(counters).toEqual({ ...noCounts(), repeated: 1, reordered: 1, lost: 1 });
  });

  test('a board that restarts in mid-stream loses one sample; time and sequence never run backward', () => {
    const counters = noCounts();
    const clock = new SampleClock(counters);
    for (let n = 0; n < 1000; n += 1) clock.accept(n, 500_000 + n * 10000, n / 100);
    const before = { boardS: clock.boardS, sequence: clock.sequence };
    expect(clock.accept(0, 900_000, 12)).toBe(false);
    expect(clock.accept(1, 910_000, 12.01)).toBe(true);
    expect(clock.boardS).toBeCloseTo(before.boardS + 12.01 - 9.99, 6);
    expect(clock.sequence).toBeGreaterThan(before.sequence + 1);
    expect(counters).toEqual({ ...noCounts(), reboots: 1 });
  });

  test('one sample whose counters contradict the rest moves nothing', () => {
    const counters = noCounts();
    const clock = new SampleClock(counters);
    for (let n = 0; n < 10; n += 1) clock.accept(n, n * 10000, n / 100);
    expect(clock.accept(40000, 100_000, 0.1)).toBe(false);
    expect(clock.accept(10, 3_000_000_000, 0.1)).toBe(false);
    expect(clock.accept(10, 100_000, 0.1)).toBe(true);
    expect(clock.sequence).toBe(10);
    expect(counters).toEqual({ ...noCounts(), implausible: 2 });
  });

  test('whatever comes, time and sequence only grow, and every sample is accounted for', () => {
    const arrivals = fc.array(
      fc.record({ seq: fc.nat(seqSpan - 1), micros: fc.nat(microsSpan - 1), isNext: fc.boolean() }),
      { maxLength: 200 },
    );
    fc.assert(
      fc.property(arrivals, (list) => {
        const counters = noCounts();
        const clock = new SampleClock(counters);
        let seq = 0;
        let micros = 0;
        let accepted = 0;
        let last = { sequence: -1, boardS: -1 };
        for (const [at, arrival] of list.entries()) {
          seq = arrival.isNext ? (seq + 1) % seqSpan : arrival.seq;
          micros = arrival.isNext ? (micros + 10000) % microsSpan : arrival.micros;
          if (!clock.accept(seq, micros, at / 100)) continue;
          accepted += 1;
          expect(clock.sequence).toBeGreaterThan(last.sequence);
          expect(clock.boardS).toBeGreaterThan(last.boardS);
          last = { sequence: clock.sequence, boardS: clock.boardS };
        }
        clock.expectRestart();
        const { repeated, reordered, implausible, reboots } = counters;
        expect(accepted + repeated + reordered + implausible + reboots).toBe(list.length);
      }),
      { numRuns: 200, seed: 20261125 },
    );
  });
});
