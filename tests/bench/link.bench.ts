import { fork } from 'node:child_process';
import { once } from 'node:events';
import { appendFile, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openRecording } from '../../host/capture/recording.ts';
import { pullAndPlug } from '../faults/link-pulls.ts';
import { mutateLines } from '../faults/wire-mutations.ts';

const lineCount = 50_000;
const chunkBytes = 64;
const rounds = 31;
const warmUps = 3;
const pulls = 50;
const mutated = 1_000_000;
const longRows = 10_000_000;
const seed = 20261125;

const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1];

const paths = [
  { path: 'stock', name: 'stock readline parser alone' },
  { path: 'samples', name: 'bytes to samples' },
  { path: 'errors', name: 'bytes to errors' },
];

async function throughput(): Promise<void> {
  const script = new URL('./linkPath.ts', import.meta.url);
  const workers = paths.map(({ path }) =>
    fork(script, [String(lineCount), String(chunkBytes), String(seed), path], { execArgv: ['--import', 'tsx'] }),
  );
  const times = workers.map((): number[] => []);
  for (let round = 0; round < warmUps + rounds; round += 1) {
    for (const [at, worker] of workers.entries()) {
      worker.send('run');
      const [tookMs] = (await once(worker, 'message')) as [number];
      if (round >= warmUps) times[at].push(tookMs);
    }
  }
  for (const worker of workers) worker.disconnect();
  console.log(
    `${lineCount} sample lines of a resting board in chunks of ${chunkBytes} bytes, seed ${seed}, median of ${rounds} interleaved runs (of the ratio: of the runs side by side):`,
  );
  console.table(
    paths.map(({ name }, at) => ({
      path: name,
      'lines a second': Math.round((lineCount / median(times[at])) * 1000),
      'time against stock': median(times[at].map((tookMs, round) => tookMs / times[0][round])).toFixed(2),
      'of the quickest runs': (Math.min(...times[at]) / Math.min(...times[0])).toFixed(2),
      aim: at === 0 ? '' : '2.00 at most',
    })),
  );
}

async function pulling(): Promise<void> {
  const { noticedS, resumedS, states, before, after, load, closedS } = await pullAndPlug(pulls);
  const worst = (values: readonly number[]): string => Math.max(...values).toFixed(3);
  console.log(`\nFar end of a pseudo-terminal pulled out of the real serial binding while it streams, ${pulls} times:`);
  console.table([
    { what: 'noticed within, s', median: median(noticedS).toFixed(3), worst: worst(noticedS), aim: '1.5' },
    { what: 'resumed after return within, s', median: median(resumedS).toFixed(3), worst: worst(resumedS), aim: '2.0' },
    { what: 'closed within, s', worst: closedS.toFixed(3), aim: '0.5' },
    { what: 'noticed by the watchdog, not by the binding', worst: states.filter((state) => state === 'silent').length },
    { what: 'descriptors more than before', worst: after.descriptors - before.descriptors, aim: '0' },
    { what: 'timers more than before', worst: after.timers - before.timers, aim: '0' },
    { what: 'memory more than before, MB', worst: (after.rssMb - before.rssMb).toFixed(1) },
    { what: 'processor load of link and far end together', worst: load.toFixed(2) },
  ]);
}

function mutating(): void {
  const counts = [...mutateLines(mutated, seed)];
  console.log(
    `\n${mutated} damaged lines, seed ${seed}. A framed line stands behind its CRC alone, so that one in 65536 of`,
  );
  console.log(
    'those whose damage the CRC does not find for certain is expected to collide; the shape of the fields sifts most of these.',
  );
  console.table(
    counts.map(([damage, { certain, lines, framed, collisions, believed, wronglyBelieved, crashes }]) => ({
      damage,
      lines,
      framed,
      collisions,
      expected: certain ? 0 : Number((framed / 65536).toFixed(1)),
      'of these believed': believed,
      'believed against the CRC': wronglyBelieved,
      crashes,
    })),
  );
}

/** A file of ten million rows, about as long as a day at 100 a second. */
async function longFile(): Promise<void> {
  const folder = await mkdtemp(join(tmpdir(), 'lodepole-long-'));
  try {
    const path = join(folder, 'long.csv');
    const block = `0.01,-0.02,0.99\n`.repeat(100_000);
    await writeFile(path, 'ax_g,ay_g,az_g\n');
    for (let n = 0; n < longRows / 100_000; n += 1) await appendFile(path, block);
    const rssMb = (): number => process.memoryUsage.rss() / 1e6;
    const before = rssMb();
    let most = before;
    let rows = 0;
    const start = performance.now();
    for await (const sample of (await openRecording(path)).samples) {
      rows += sample.accelG === undefined ? 0 : 1;
      if (rows % 50_000 === 0) most = Math.max(most, rssMb());
    }
    const tookS = (performance.now() - start) / 1000;
    console.log(`\nA CSV file of ${longRows} rows, streamed:`);
    console.table([
      {
        rows,
        'rows a second': Math.round(rows / tookS),
        'most memory above the start, MB': (most - before).toFixed(0),
      },
    ]);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

export async function run(): Promise<void> {
  await throughput();
  await pulling();
  mutating();
  await longFile();
}
