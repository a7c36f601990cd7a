import { describe, expect, test } from 'vitest';
import type { World } from '../../firmware-proto/virtual/world.ts';
import type { Decoded } from '../../firmware-proto/wire.ts';
import { only, runImage, stillWorld } from '../job/board-run.ts';

const events = (lines: readonly Decoded[]): string[] =>
  only(lines, 'event').map(({ code, count }) => `${code} ${count}`);
const badLines = (lines: readonly Decoded[]): Decoded[] => only(lines, 'bad');

describe('faults of the board', () => {
  const settled = () => {
    const image = runImage();
    image.ask('hello');
    image.run(0.2);
    return image;
  };

  test('a chip that holds the bus in the middle of a byte is clocked free, and it is told', () => {
    const { board, run } = settled();
    board.holdSda(5);
    const lines = run(1.3);
    expect(events(lines)).toContain('bus-stuck 1');
    expect(only(lines, 'sample').length).toBeGreaterThan(115);
    expect(badLines(lines)).toEqual([]);
  });

  test('a bus that hangs in the middle of a transfer does not hang the board', () => {
    const { board, run } = settled();
    let left = 1;
    board.accelerometer.onOutputRead = () => left-- === 1 && board.holdSda(5);
    const lines = run(1.3);
    expect(events(lines)).toEqual(['bus-stuck 1']);
    expect(only(lines, 'sample').length).toBeGreaterThan(115);
  });

  test('a shorted bus is tried again and again, hangs nothing, and comes back when it is free', () => {
    const { board, run, ask } = settled();
    board.holdSda();
    const stuck = run(2.1);
    expect(only(stuck, 'sample').length).toBeLessThan(3);
    expect(events(stuck).length).toBeGreaterThanOrEqual(2);
    expect(events(stuck).every((event) => event.startsWith('bus-stuck'))).toBe(true);
    ask('hello');
    expect(only(run(0.2), 'hello').length).toBe(1);
    board.releaseSda();
    const free = run(1);
    expect(only(free, 'sample').length).toBeGreaterThan(80);
    expect(events(run(1.1))).toEqual([]);
  });

  test('the clock goes on through a stuck bus', () => {
    const { board, run, lines } = settled();
    board.holdSda();
    run(1);
    board.releaseSda();
    run(1);
    const stamps = lines.filter((entry) => entry.line.kind === 'sample');
    const [first, last] = [stamps[0], stamps.at(-1)];
    if (first.line.kind !== 'sample' || last?.line.kind !== 'sample') throw new Error('no samples');
    const boardS = (last.line.micros - first.line.micros) / 1e6;
    expect(Math.abs(boardS - (last.atS - first.atS))).toBeLessThan(0.02);
    expect(last.line.seq - first.line.seq).toBe(Math.round(boardS * 100));
  });

  test.each(['accelerometer', 'magnetometer'] as const)('a silent %s is told, and found again', (name) => {
    const { board, run, ask } = settled();
    board[name].silent = true;
    const silent = run(1.5);
    expect(only(silent, 'sample').length).toBeLessThan(3);
    expect(events(silent)[0]).toMatch(/^chip-silent/);
    ask('hello');
    expect(only(run(0.3), 'hello')[0][name].id).toBe(0);
    board[name].silent = false;
    run(0.5);
    expect(only(run(1), 'sample').length).toBeGreaterThan(95);
    ask('hello');
    expect(only(run(0.3), 'hello')[0][name].id).not.toBe(0);
  });

  test.each(['accelerometer', 'magnetometer'] as const)('a board without its %s says so in a sound hello', (name) => {
    const { board, run, ask } = runImage();
    board[name].silent = true;
    ask('hello');
    const lines = run(1.2);
    expect(badLines(lines)).toEqual([]);
    expect(only(lines, 'hello').at(-1)).toMatchObject({ [name]: { name: 'none', id: 0 } });
    expect(only(lines, 'sample')).toEqual([]);
    board[name].silent = false;
    // Found, it is told without being asked.
    expect(only(run(0.5), 'hello').at(-1)).toMatchObject({ [name]: { name: 'LSM303AGR' } });
  });

  test.each(['accelerometer', 'magnetometer'] as const)(
    'an %s that has forgotten its settings gives no stale samples and is set up again',
    (name) => {
      const { board, run } = settled();
      board[name].powerUp();
      const lines = run(1.5);
      expect(events(lines)).toEqual(['chip-silent 1']);
      const count = only(lines, 'sample').length;
      expect(count).toBeGreaterThan(120);
      expect(count).toBeLessThan(145);
    },
  );

  test.each([
    ['', false],
    [' even when a boot loader has hidden it', true],
  ])('a program that hangs is bitten by the watchdog, starts again as the same board and tells why%s', (_, boots) => {
    const { board, run, lines, ask } = runImage({ hasBootLoader: boots });
    ask('hello');
    run(0.5);
    const before = only(
      lines.map(({ line }) => line),
      'hello',
    )[0].boardId;
    board.hang();
    const hungS = board.nowS;
    const after = run(1.8);
    expect(only(after, 'hello')[0].boardId).toBe(before);
    expect(events(after)).toEqual(['watchdog 1']);
    expect(badLines(after).length).toBeLessThanOrEqual(1); // the line that was cut off
    const back = lines.find(({ line, atS }) => line.kind === 'hello' && atS > hungS);
    expect((back?.atS ?? 99) - hungS).toBeLessThan(0.7);
    const samples = only(after, 'sample');
    const restart = samples.findIndex(({ seq }) => seq === 0);
    expect(samples.slice(restart).map(({ seq }) => seq)).toEqual(samples.slice(restart).map((_, index) => index));
  });

  test.each([
    ['brownout', ['brownout 1']],
    ['external', []],
    ['power', []],
  ] as const)('a restart by %s tells %j', (cause, expected) => {
    const { board, run } = settled();
    board.restart(cause);
    const after = run(1.5);
    expect(events(after)).toEqual(expected);
    expect(only(after, 'sample').length).toBeGreaterThan(140);
  });

  test('the world goes on over a restart, and never back', () => {
    const instants: number[] = [];
    const world: World = {
      ...stillWorld,
      countsAt(worldS) {
        instants.push(worldS);
        return stillWorld.countsAt(worldS);
      },
    };
    const { board, run } = runImage({ startS: 100 }, world);
    run(0.5);
    board.hang();
    run(1.5);
    expect(instants[0]).toBeGreaterThan(100);
    expect(instants.at(-1)).toBeGreaterThan(101.9);
    expect(instants.every((instant, index) => index === 0 || instant >= instants[index - 1])).toBe(true);
  });
});
