import * as files from 'node:fs';
import { setTimeout as sleep } from 'node:timers/promises';
import { exitCode, Failure } from '../failure.ts';
import { makeFolder, storePath } from './folder.ts';

/** A lock this old belongs to a program that was killed: one that runs renews its own twice as often, and none is held for long. */
const staleMs = 2000;
const patienceMs = 10_000;
const askAgainMs = 25;

/** A lock from the future was made before the clock was put back: it is as old as can be. */
const fileSystem = {
  ...files,
  stat: (path: string, tell: (error: NodeJS.ErrnoException | null, stat?: files.Stats) => void): void =>
    files.stat(path, (error, stat) => {
      if (stat && stat.mtimeMs > Date.now() + staleMs) stat.mtime = new Date(0);
      tell(error, stat);
    }),
};

let last: Promise<unknown> = Promise.resolve();

/** Does `work` while no other program, and nothing else in this one, saves what is kept. Throws Failure where the others do not let go. */
export function underLock<T>(work: () => Promise<T>): Promise<T> {
  const done = last.then(() => locked(work));
  last = done.catch(() => {});
  return done;
}

async function locked<T>(work: () => Promise<T>): Promise<T> {
  await makeFolder(storePath());
  const release = await takeLock();
  try {
    return await work();
  } finally {
    await release().catch(() => {});
  }
}

async function takeLock(): Promise<() => Promise<void>> {
  const { lock } = await import('proper-lockfile');
  const untilMs = performance.now() + patienceMs;
  for (;;) {
    try {
      return await lock(storePath('kept'), {
        realpath: false,
        stale: staleMs,
        fs: fileSystem,
        // the worst that follows is that the other program saves last
        onCompromised: () => {},
      });
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ELOCKED') throw error;
      if (performance.now() > untilMs) {
        throw new Failure(
          exitCode.inputOutput,
          `Another program keeps ${storePath()} locked.`,
          'Close every other Lodepole, then try again.',
          { cause: error },
        );
      }
    }
    // not all at once
    await sleep(askAgainMs * (0.5 + Math.random()));
  }
}
