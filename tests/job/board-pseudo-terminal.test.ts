import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { SerialPort } from 'serialport';
import { afterAll, afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { VirtualBoard } from '../../firmware-proto/virtual/board.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import { openPseudoTerminal } from '../../firmware-proto/virtual/pseudoTerminal.ts';
import { decodeLine, sealLine, type Decoded } from '../../firmware-proto/wire.ts';
import { have } from '../unit/tools.ts';
import { stillWorld } from './board-run.ts';

const folder = mkdtempSync(join(tmpdir(), 'lodepole-pty-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** Opens the port with the real binding and reads lines until one fits. */
async function readUntil(path: string, fits: (line: Decoded) => boolean, request?: string): Promise<Decoded[]> {
  const port = new SerialPort({ path, baudRate: 115200, lock: false });
  const lines: Decoded[] = [];
  let rest = '';
  await new Promise<void>((resolve, reject) => {
    port.on('error', reject);
    port.on('open', () => request && port.write(`${request}\n`));
    port.on('data', (bytes: Buffer) => {
      const parts = (rest + bytes.toString('latin1')).split('\n');
      rest = parts.pop() ?? '';
      lines.push(...parts.map((part) => decodeLine(part)));
      if (lines.some(fits)) resolve();
    });
  });
  await new Promise<void>((resolve) => port.close(() => resolve()));
  return lines;
}

describe.skipIf(!have('socat', 'the real serial binding is not exercised'))(
  'the image through a pseudo-terminal',
  () => {
    let board: ImageBoard;
    beforeEach(() => {
      board = new ImageBoard(stillWorld);
      board.start();
    });
    afterEach(() => board.close());

    test('speaks to the real serial binding, in real time', async () => {
      const terminal = await openPseudoTerminal(join(folder, 'board'), board);
      const lines = await readUntil(terminal.path, ({ kind }) => kind === 'hello', 'hello');
      expect(lines.some(({ kind }) => kind === 'hello')).toBe(true);
      const startS = board.nowS;
      const startMs = performance.now();
      await sleep(1000);
      const ranS = board.nowS - startS;
      expect(ranS).toBeLessThan((performance.now() - startMs) / 1000 + 0.15); // slower on a busy machine, never faster
      expect(ranS).toBeGreaterThan(0.1);
      await terminal.close();
      expect(existsSync(terminal.path)).toBe(false);
    });

    test('can be pulled and plugged in again under the same name, while the board runs on', async () => {
      const path = join(folder, 'again');
      const listeners = vi.spyOn(board, 'onBytes');
      let latest = -1;
      for (let turn = 0; turn < 3; turn += 1) {
        const terminal = await openPseudoTerminal(path, board);
        const lines = await readUntil(path, ({ kind }) => kind === 'sample');
        const sample = lines.find((line) => line.kind === 'sample');
        expect(sample?.kind === 'sample' && sample.seq > latest).toBe(true);
        if (sample?.kind === 'sample') latest = sample.seq;
        await terminal.close();
        await terminal.close(); // twice does no harm
      }
      expect(listeners).toHaveBeenCalledTimes(3);
    });

    test('keeps little for a reader that does not come', async () => {
      let send: (bytes: Uint8Array) => void = () => undefined;
      const talker: VirtualBoard = {
        world: stillWorld,
        onBytes(listener) {
          send = listener;
          return () => undefined;
        },
        write: () => undefined,
        start: () => undefined,
        close: () => Promise.resolve(),
      };
      const terminal = await openPseudoTerminal(join(folder, 'unread'), talker);
      const line = Buffer.from(sealLine('S 1 1 0 0 0 0 0 0 0'));
      for (let count = 0; count < 40_000; count += 1) {
        send(line);
        if (count % 1000 === 0) await sleep(1);
      }
      const last = setInterval(() => send(Buffer.from(sealLine('A end'))), 5);
      const lines = await readUntil(terminal.path, ({ kind }) => kind === 'acknowledged');
      clearInterval(last);
      // What the pipes of the system hold, some 140 kB, and not the 1.1 MB that were sent.
      expect(lines.length * line.length).toBeLessThan(250_000);
      await terminal.close();
    });

    test('says what is wrong when it cannot', async () => {
      await expect(openPseudoTerminal(join(folder, 'none/board'), board)).rejects.toThrow(
        /no pseudo-terminal at .*none/,
      );
      vi.stubEnv('PATH', folder);
      try {
        await expect(openPseudoTerminal(join(folder, 'x'), board)).rejects.toThrow(/socat is not installed/);
      } finally {
        vi.unstubAllEnvs();
      }
    });
  },
);
