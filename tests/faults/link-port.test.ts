import { spawnSync } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from 'vitest';
import { norm } from '../../calibration/vector.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import { openPseudoTerminal } from '../../firmware-proto/virtual/pseudoTerminal.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import type { Request } from '../../firmware-proto/wire.ts';
import { BoardLink } from '../../host/link/boardLink.ts';
import type { BoardReply } from '../../host/link/lineIntake.ts';
import { serialCandidate } from '../../host/link/serialPort.ts';
import type { BoardSample } from '../../host/link/boardSample.ts';
import { patience } from '../job/patience.ts';
import { until } from './link-farEnd.ts';

/**
 * The link against a whole board: a real one where LODEPOLE_TEST_PORT names its port, e.g. /dev/ttyUSB0, otherwise the committed
 * image on the emulated processor behind a pseudo-terminal.
 */
const testPort = process.env.LODEPOLE_TEST_PORT;
const canRun = testPort !== undefined || spawnSync('socat', ['-V']).status === 0;
if (!canRun)
  console.log('SKIPPED: the link against a whole board needs LODEPOLE_TEST_PORT or socat (Debian package socat)');
console.log(`Link tests run against ${testPort ?? 'the virtual board'}.`);

const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** By the median time between two samples: where one was lost, the others still tell. */
function usualHz(samples: readonly BoardSample[]): number {
  const apartS = samples.slice(1).map(({ boardS }, index) => boardS - samples[index].boardS);
  return 1 / apartS.sort((a, b) => a - b)[apartS.length >> 1];
}

/** Asks, and asks again where the request was dropped since a starved board had just been given up. */
async function asked(link: BoardLink, request: Request, isAnswered: () => boolean): Promise<void> {
  link.send(request);
  const again = setInterval(() => link.send(request), 5000);
  await until('an answer', isAnswered).finally(() => clearInterval(again));
}

describe.skipIf(!canRun)('the link against a whole board', () => {
  let path = testPort ?? '';
  const closers: (() => Promise<void>)[] = [];
  beforeAll(async () => {
    if (testPort !== undefined) return;
    const folder = await mkdtemp(join(tmpdir(), 'lodepole-port-'));
    path = join(folder, 'board');
    const board = new ImageBoard(createWorld('orchard', { seed: 1 }), { seed: 1 });
    board.start();
    const terminal = await openPseudoTerminal(path, board);
    closers.push(
      () => terminal.close(),
      () => board.close(),
      () => rm(folder, { recursive: true, force: true }),
    );
  });
  afterAll(async () => {
    for (const close of closers) await close();
  });

  async function streaming(): Promise<{ link: BoardLink; samples: BoardSample[]; replies: BoardReply[] }> {
    const link = new BoardLink({ candidates: async () => [serialCandidate(path)] });
    const samples: BoardSample[] = [];
    const replies: BoardReply[] = [];
    link.onSample((sample) => samples.push(sample));
    link.onReply((reply) => replies.push(reply));
    onTestFinished(() => link.close());
    link.start();
    await until('streaming', () => link.status().state === 'streaming');
    return { link, samples, replies };
  }

  test('hello, samples at the rate that it states, gravity and field of the Earth, and a quick end', async () => {
    const { link, samples } = await streaming();
    const sampleHz = link.hello()?.sampleHz ?? 0;
    expect(sampleHz).toBeGreaterThanOrEqual(10);
    await until('two seconds of samples', () => samples.length > 2 * sampleHz);
    expect(usualHz(samples)).toBeCloseTo(sampleHz, -1);
    const { lost, badCrc, torn, implausible } = link.status().counters;
    expect({ lost, badCrc, torn, implausible }).toEqual({ lost: 0, badCrc: 0, torn: 0, implausible: 0 });
    const last = samples[samples.length - 1];
    expect(norm(last.accelG)).toBeGreaterThan(0.8);
    expect(norm(last.accelG)).toBeLessThan(1.2);
    // Uncalibrated: the Earth's 22 to 67 microtesla and what the board's own iron does.
    expect(norm(last.fieldNt)).toBeGreaterThan(5_000);
    expect(norm(last.fieldNt)).toBeLessThan(300_000);
    const start = performance.now();
    await link.close();
    expect(performance.now() - start).toBeLessThan(500 * patience());
  });

  test('the rate can be changed, an odd one is refused, and the port opens again after closing', async () => {
    const { link, samples, replies } = await streaming();
    await asked(link, { request: 'rate', hz: 33 }, () => replies.some(({ kind }) => kind === 'refused'));
    await asked(link, { request: 'rate', hz: 20 }, () => replies.some(({ kind }) => kind === 'acknowledged'));
    await wait(200);
    samples.length = 0;
    await until('a second of samples', () => samples.length > 20);
    expect(usualHz(samples)).toBeCloseTo(20, 0);
    replies.length = 0;
    await asked(link, { request: 'rate', hz: 100 }, () => replies.some(({ kind }) => kind === 'acknowledged'));
    await link.close();
  });

  test('the self-test passes and the stream goes on without an alarm', async () => {
    const { link, samples, replies } = await streaming();
    const states: string[] = [];
    link.onStatus(({ state }) => states.push(state));
    link.send({ request: 'selftest' });
    await until('the end of the self-test', () => replies.some(({ kind }) => kind === 'acknowledged'));
    const rows = replies.filter((reply) => reply.kind === 'test');
    expect(rows.length).toBeGreaterThan(1);
    expect(rows.filter(({ passed }) => !passed)).toEqual([]);
    const before = samples.length;
    await until('samples again', () => samples.length > before + 10);
    expect(states).toEqual([]);
    await link.close();
  });
});
