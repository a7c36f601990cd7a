import { createInterface } from 'node:readline';
import { exitCode, Failure } from '../failure.ts';
import { meetPort, portWords, type FoundPort } from '../link/metPorts.ts';
import { unmetPorts } from '../link/ports.ts';
import { say } from '../output.ts';
import { texts } from './words/watch.ts';

/** Before a step: the search may take a minute, and who has no board yet need not wait for its end. */
export function sayLooking(command: string, { virtual }: { virtual?: string }): void {
  if (virtual === undefined) say(texts.lookingOr(command));
}

/**
 * Before a board is looked for: on a terminal asks about each serial device that was never met, and keeps the answers. Elsewhere
 * they are left alone. Nothing is asked where a port or the virtual board is named. Throws Failure when interrupted.
 */
export async function askAboutPorts(
  { port, virtual, json }: { port?: string; virtual?: string; json?: boolean },
  found: () => Promise<FoundPort[]> = unmetPorts,
  input: NodeJS.ReadStream = process.stdin,
): Promise<void> {
  if (port !== undefined || virtual !== undefined || json || !input.isTTY) return;
  const unmet = await found();
  if (unmet.length === 0) return;
  const lines = createInterface({ input });
  const typed = lines[Symbol.asyncIterator]();
  let isInterrupted = false;
  const interrupt = (): void => {
    isInterrupted = true;
    lines.close();
  };
  process.once('SIGINT', interrupt);
  try {
    for (const device of unmet) {
      say(texts.newDevice(portWords(device)));
      say(texts.mayMoveMount);
      for (let answer = ''; !/^(y|yes|n|no)$/i.test(answer);) {
        say(texts.isItTheBoard);
        const { value, done } = (await typed.next()) as IteratorResult<string, undefined>;
        if (isInterrupted || done) throw new Failure(exitCode.interrupted, 'Interrupted.', 'Nothing was opened.');
        answer = value.trim();
        if (!/^(y|yes|n|no)$/i.test(answer)) continue;
        const isFree = /^y/i.test(answer);
        await meetPort(device, isFree);
        if (!isFree) say(texts.staysClosed(device.path));
      }
    }
  } finally {
    process.off('SIGINT', interrupt);
    lines.close();
  }
}
