// Programs that keep things at once, or are killed while they do; what they acknowledged, and what is there afterwards.
import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface, type Interface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const source = fileURLToPath(new URL('kept-child.ts', import.meta.url));

/** The child in one file, which starts in a fraction of the time. */
export async function bundleChild(): Promise<{ child: string; remove: () => Promise<void> }> {
  const folder = await mkdtemp(join(fileURLToPath(new URL('../output', import.meta.url)), 'kept-'));
  const child = join(folder, 'child.mjs');
  await build({
    entryPoints: [source],
    outfile: child,
    bundle: true,
    packages: 'external',
    format: 'esm',
    platform: 'node',
  });
  return { child, remove: () => rm(folder, { recursive: true }) };
}

interface Keeper {
  process: ChildProcess;
  lines: Interface;
  acknowledged: string[];
  ended: Promise<unknown>;
}

interface Work {
  tag: string;
  count: number;
  axis: string;
  /** By how much its clock is wrong, as faketime reads it. */
  clock?: string;
}

async function startKeeper(child: string, home: string, { tag, count, axis, clock }: Work): Promise<Keeper> {
  const words = [process.execPath, child, tag, String(count), axis];
  const [program, ...rest] = clock === undefined ? words : ['faketime', '-f', clock, ...words];
  const started = spawn(program, rest, {
    env: { ...process.env, LODEPOLE_HOME: home },
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  const lines = createInterface(started.stdout);
  const ended = new Promise<void>((done, fail) => {
    started.on('error', fail);
    started.on('close', () => done());
  });
  const isReady = new Promise((done) => lines.once('line', () => done(true)));
  // else what waits for it would end without a word
  if (!(await Promise.race([isReady, ended]))) throw new Error(`the program ${tag} ended before it was ready`);
  const acknowledged: string[] = [];
  lines.on('line', (line) => acknowledged.push(`${tag} ${line}`));
  return { process: started, lines, acknowledged, ended };
}

export interface Outcome {
  acknowledged: string[];
  /** Words of the whole lines of the log. */
  kept: string[];
  /** Lines of the log that cannot be read. */
  torn: number;
  /** Files that cannot be read, by name. */
  unreadable: string[];
  /** Sizes of the bolts, in the thousandths of a radian that were kept. */
  bolts: Record<string, number | undefined>;
  names: string[];
}

async function outcomeOf(home: string, acknowledged: string[]): Promise<Outcome> {
  const outcome: Outcome = { acknowledged, kept: [], torn: 0, unreadable: [], bolts: {}, names: [] };
  for (const name of (await readdir(home, { recursive: true, withFileTypes: true })).filter((each) => each.isFile())) {
    const path = join(name.parentPath, name.name);
    outcome.names.push(name.name);
    const text = await readFile(path, 'utf8');
    if (name.name.endsWith('.jsonl')) {
      for (const line of text.split('\n').filter((each) => each !== '')) {
        const entry = parsed(line) as { words: string } | undefined;
        if (entry) outcome.kept.push(entry.words);
        else outcome.torn++;
      }
    } else if (/\.json(\.old)?$/.test(name.name)) {
      const file = parsed(text) as Record<string, { degPerTurn: number } | undefined> | undefined;
      if (!file) outcome.unreadable.push(name.name);
      else if (name.name === 'mount.json') {
        for (const axis of ['altitude', 'azimuth']) {
          const { degPerTurn } = file[axis] ?? {};
          outcome.bolts[axis] = degPerTurn && Math.round((degPerTurn * Math.PI * 1000) / 180);
        }
      }
    }
  }
  return outcome;
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

const inHome = async (work: (home: string) => Promise<string[]>): Promise<Outcome> => {
  const home = await mkdtemp(join(tmpdir(), 'lodepole-kept-'));
  try {
    return await outcomeOf(home, await work(home));
  } finally {
    await rm(home, { recursive: true });
  }
};

/** Kills one program after the other while it keeps something; a last one then ends in peace. `chance` draws from [0, 1). */
export const killed = (child: string, kills: number, chance: () => number): Promise<Outcome> =>
  inHome(async (home) => {
    const acknowledged: string[] = [];
    for (let i = 0; i <= kills; i++) {
      const isLast = i === kills;
      const keeper = await startKeeper(child, home, {
        tag: `k${i}`,
        count: isLast ? 1 : 1_000_000,
        axis: i % 2 === 0 ? 'altitude' : 'azimuth',
      });
      keeper.process.stdin?.write('go\n');
      if (!isLast) {
        const isDue = chance() < 0.5;
        // half of them in the first save, where the lock of the one before may still stand
        if (!isDue) await new Promise((done) => keeper.lines.once('line', done));
        await new Promise((done) => setTimeout(done, chance() * 120));
        keeper.process.kill('SIGKILL');
      }
      await keeper.ended;
      acknowledged.push(...keeper.acknowledged);
    }
    return acknowledged;
  });

/** Two programs that keep `count` things each, at the same time. */
export const paired = (child: string, count: number): Promise<Outcome> =>
  inHome(async (home) => {
    const pair = await Promise.all(
      (['altitude', 'azimuth'] as const).map((axis) => startKeeper(child, home, { tag: axis, count, axis })),
    );
    for (const { process } of pair) process.stdin?.write('go\n');
    await Promise.all(pair.map(({ ended }) => ended));
    return pair.flatMap(({ acknowledged }) => acknowledged);
  });

/** One program after the other, each with a clock that is wrong by something else. */
export const dated = (child: string, clocks: readonly string[], count: number): Promise<Outcome> =>
  inHome(async (home) => {
    const acknowledged: string[] = [];
    for (const [i, clock] of clocks.entries()) {
      const keeper = await startKeeper(child, home, { tag: `d${i}`, count, axis: 'altitude', clock });
      keeper.process.stdin?.write('go\n');
      await keeper.ended;
      acknowledged.push(...keeper.acknowledged);
    }
    return acknowledged;
  });

/** What was acknowledged and is not there. */
export const lostOf = ({ acknowledged, kept }: Outcome): string[] => {
  const there = new Set(kept);
  return acknowledged.filter((words) => !there.has(words));
};
