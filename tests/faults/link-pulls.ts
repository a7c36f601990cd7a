import { readdirSync } from 'node:fs';
import { BoardLink } from '../../host/link/boardLink.ts';
import { serialCandidate } from '../../host/link/serialPort.ts';
import { FarEnd, until } from './link-farEnd.ts';

const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Longer than any of it takes, on the busiest machine. */
const limitS = 20;

/** What a process holds. */
export interface Held {
  descriptors: number;
  timers: number;
  rssMb: number;
}

const held = (): Held => ({
  descriptors: readdirSync('/proc/self/fd').length,
  timers: process.getActiveResourcesInfo().filter((kind) => kind === 'Timeout').length,
  rssMb: process.memoryUsage.rss() / 1e6,
});

export interface Pulls {
  noticedS: number[];
  resumedS: number[];
  /** How a pull was noticed: the binding said so, or the watchdog did. */
  states: string[];
  /** While streaming, before the first pull and after the last. */
  before: Held;
  after: Held;
  /** Processor seconds used a second of wall time. */
  load: number;
  closedS: number;
}

/** Pulls the far end of a pseudo-terminal out of the real serial binding while it streams, `count` times, and puts it back. */
export async function pullAndPlug(count: number): Promise<Pulls> {
  const farEnd = await FarEnd.create();
  await farEnd.plug();
  const link = new BoardLink({ candidates: async () => [serialCandidate(farEnd.path)] });
  const isStreaming = (): boolean => link.status().state === 'streaming';
  const pulls = { noticedS: [] as number[], resumedS: [] as number[], states: [] as string[] };
  const startS = performance.now() / 1000;
  const cpu = process.cpuUsage();
  try {
    link.start();
    await until('first stream', isStreaming, limitS);
    await wait(300);
    const before = held();
    for (let n = 0; n < count; n += 1) {
      await wait(100 + ((n * 37) % 100));
      await farEnd.pull();
      pulls.noticedS.push(await until('noticed', () => !isStreaming(), limitS));
      pulls.states.push(link.status().state);
      await wait(100 + ((n * 53) % 300));
      await farEnd.plug();
      pulls.resumedS.push(await until('resumed', isStreaming, limitS));
    }
    await wait(300);
    const after = held();
    const { user, system } = process.cpuUsage(cpu);
    const load = (user + system) / 1e6 / (performance.now() / 1000 - startS);
    const closing = performance.now();
    await link.close();
    return { ...pulls, before, after, load, closedS: (performance.now() - closing) / 1000 };
  } finally {
    await link.close();
    await farEnd.remove();
  }
}
