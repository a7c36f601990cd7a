import { spawnSync } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { openPseudoTerminal } from '../../firmware-proto/virtual/pseudoTerminal.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { BoardLink } from '../../host/link/boardLink.ts';
import { serialCandidate } from '../../host/link/serialPort.ts';
import { NeedleStream } from '../../host/live/needleStream.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import type { Needles } from '../../host/live/session.ts';
import { swingSite } from '../../host/site/swingSite.ts';
import { expectHonest } from '../pages/honest.ts';
import { until } from './link-farEnd.ts';

const canRun = spawnSync('socat', ['-V']).status === 0;
if (!canRun) console.log('SKIPPED: boards of any rate need socat (Debian package socat)');
const date = new Date('2026-11-25T00:00:00Z');
const seed = 3;

/** A board of the same make whose chips are read `hz` times a second, on a pseudo-terminal, up to the needles. */
async function needlesOf(hz: number, restS: number): Promise<{ needles: Needles[]; counters: Record<string, number> }> {
  const world = createWorld('orchard', { seed, date });
  Object.assign(world, { make: { ...world.make, hz } });
  const board = new FastBoard(world);
  const folder = await mkdtemp(join(tmpdir(), 'lodepole-rate-'));
  const terminal = await openPseudoTerminal(join(folder, 'board'), board);
  const link = new BoardLink({ candidates: async () => [serialCandidate(terminal.path)] });
  const stream = new NeedleStream(swingSite(world.scene.place, date), () => world.truth());
  stream.use(rehearseFast('orchard', { seed, date }).swing.axisModel);
  const needles: Needles[] = [];
  stream.listeners.add((one) => needles.push(one));
  link.onSample((sample) => stream.offer(sample));
  try {
    board.start();
    link.start();
    await until('needles that have rested', () => {
      const rested = needles.findLastIndex(({ state }) => state !== 'still');
      const last = needles.at(-1);
      return last !== undefined && rested >= 0 && last.arrivalS - needles[rested].arrivalS > restS;
    });
    return { needles, counters: { ...link.status().counters } };
  } finally {
    stream.close();
    await link.close();
    await board.close();
    await terminal.close();
    await rm(folder, { recursive: true, force: true });
  }
}

describe.skipIf(!canRun).concurrent('a board that reads its chips', () => {
  test.each([1, 5, 10, 50, 100, 200, 400, 1000])('%d times a second gives needles that rest and hold', async (hz) => {
    const { needles, counters } = await needlesOf(hz, 3);
    const last = needles.at(-1)!;
    expectHonest(last, last.truth!);
    expect(counters).toMatchObject({ implausible: 0, reordered: 0, repeated: 0 });
    const size = Math.ceil(hz / 125);
    expect(counters.samples).toBeGreaterThanOrEqual(
      size * (needles.filter(({ state }) => state !== 'stale').length - 1),
    );
  });
});
