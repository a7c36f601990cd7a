import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync } from 'node:fs';
import { rm } from 'node:fs/promises';
import { setTimeout as sleep } from 'node:timers/promises';
import type { VirtualBoard } from './board.ts';

const longestWaitMs = 3000;
const pollMs = 5;
/** Nobody reads the far end: then bytes are lost, as they are on a real line. */
const longestBacklogBytes = 4096;

/**
 * Makes a virtual board reachable as a serial port at `linkPath`, by socat. Closing it is like pulling the cable: the board
 * itself runs on, and may be plugged in again under the same name. Throws an Error when socat is missing or fails.
 */
export async function openPseudoTerminal(
  linkPath: string,
  board: VirtualBoard,
): Promise<{ path: string; close(): Promise<void> }> {
  await rm(linkPath, { force: true });
  const child = spawn('socat', [`PTY,link=${linkPath},raw,echo=0`, 'STDIO'], { stdio: ['pipe', 'pipe', 'pipe'] });
  let words = '';
  child.stderr.on('data', (chunk: Buffer) => (words += chunk.toString()));
  child.stdin.on('error', () => undefined); // the far end is gone; 'exit' tells
  child.on('error', (error: NodeJS.ErrnoException) => {
    words = error.code === 'ENOENT' ? 'socat is not installed (Debian: apt install socat)' : error.message;
  });
  const ended = new Promise<void>((resolve) => {
    child.once('exit', () => resolve());
    child.once('error', () => resolve());
  });

  let running = true;
  void ended.then(() => (running = false));
  for (const startMs = performance.now(); !existsSync(linkPath); await sleep(pollMs)) {
    if (running && performance.now() - startMs < longestWaitMs) continue;
    child.kill('SIGKILL');
    throw new Error(`no pseudo-terminal at ${linkPath}: ${words.trim() || 'socat did not make it in time'}`);
  }

  const unsubscribe = board.onBytes((bytes) => {
    if (child.stdin.writableLength < longestBacklogBytes) child.stdin.write(bytes);
  });
  child.stdout.on('data', (bytes: Buffer) => board.write(bytes));
  return {
    path: linkPath,
    async close() {
      unsubscribe();
      // the name first: left behind, it would lead to whatever terminal gets the same number next
      await rm(linkPath, { force: true });
      if (running) {
        child.kill('SIGKILL');
        await once(child, 'close').catch(() => undefined);
      }
    },
  };
}
