import { appendFile, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ReadlineParser } from '@serialport/parser-readline';
import { LiveEstimator } from '../../calibration/live/estimator.ts';
import { uncalibratedModel } from '../../calibration/live/uncalibrated.ts';
import { degree } from '../../calibration/angle.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { encodeHello, encodeSample } from '../../firmware-proto/wire.ts';
import { openRecording } from '../../host/capture/recording.ts';
import { CappedLines } from '../../host/link/cappedLines.ts';
import { LineIntake } from '../../host/link/lineIntake.ts';
import type { BoardSample } from '../../host/live/session.ts';
import { fieldAt } from '../../host/site/field.ts';
import { polesOf, type Site } from '../../host/site/site.ts';
import { testHello } from '../faults/link-farEnd.ts';
import { pullAndPlug } from '../faults/link-pulls.ts';
import { mutateLines } from '../faults/wire-mutations.ts';

const lineCount = 50_000;
const chunkBytes = 64;
const rounds = 31;
const pulls = 50;
const mutated = 1_000_000;
const longRows = 10_000_000;
const seed = 20261125;

const breathe = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));
const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1];

/** What a resting board at about 41 degrees north sends, noise and all, in the chunks that a serial port gives. */
function restingBoard(): Uint8Array[] {
  const random = new Random(seed);
  const noisy = (count: number, sigma: number): number => Math.round(count + random.normal() * sigma);
  const lines = [encodeHello(testHello)];
  for (let n = 0; n < lineCount; n += 1) {
    lines.push(
      encodeSample({
        seq: n % 65536,
        micros: (n * 10000) % 4294967296,
        accel: [noisy(669, 2), noisy(8, 2), noisy(770, 2)],
        field: [noisy(-187, 3), noisy(9, 3), noisy(-290, 3)],
        rate: undefined,
        temperature: noisy(-1280, 4),
      }),
    );
  }
  const bytes = Buffer.from(lines.join(''), 'latin1');
  return Array.from({ length: Math.ceil(bytes.length / chunkBytes) }, (_, n) =>
    bytes.subarray(n * chunkBytes, (n + 1) * chunkBytes),
  );
}

interface Runner {
  name: string;
  /** Sets up for one run; returns what takes a chunk and what tells how many lines came out. */
  make(): { take(chunk: Uint8Array): void; count(): number };
}

const stock: Runner = {
  name: 'stock readline parser alone',
  make: () => {
    let count = 0;
    const parser = new ReadlineParser({ delimiter: '\r\n', encoding: 'latin1' });
    parser.on('data', () => (count += 1));
    return { take: (chunk) => parser.write(chunk), count: () => count };
  },
};

function live(name: string, makeSink: () => (sample: BoardSample) => boolean): Runner {
  return {
    name,
    make: () => {
      let count = 0;
      const sink = makeSink();
      const intake = new LineIntake({
        onSample: (sample) => {
          if (sink(sample)) count += 1;
        },
        onHello: () => {},
        onReply: () => {},
        onSoundLine: () => {},
      });
      let arrivalS = 0;
      const lines = new CappedLines((line) => intake.take(line, arrivalS));
      const take = (chunk: Uint8Array): void => {
        arrivalS = performance.now() / 1000;
        lines.push(chunk);
      };
      return { take, count: () => count };
    },
  };
}

const site: Site = { latitudeRad: 41.2 * degree, longitudeRad: -98.4 * degree, elevationM: 540 };

function toErrors(): (sample: BoardSample) => boolean {
  const field = fieldAt(site, new Date(Date.UTC(2026, 10, 25)));
  const { variationRad, sigmaVariationRad } = field;
  const estimator = new LiveEstimator(uncalibratedModel(field), {
    pole: polesOf(site).truePole,
    variationRad,
    sigmaVariationRad,
  });
  return (sample) => estimator.offer(sample) !== undefined;
}

async function throughput(): Promise<void> {
  const chunks = restingBoard();
  const runners = [stock, live('bytes to samples', () => () => true), live('bytes to errors', toErrors)];
  const times = runners.map((): number[] => []);
  for (let round = 0; round <= rounds; round += 1) {
    for (const [at, runner] of runners.entries()) {
      const { take, count } = runner.make();
      await breathe();
      const start = performance.now();
      for (const chunk of chunks) take(chunk);
      const tookMs = performance.now() - start;
      if (count() < lineCount) throw new Error(`${runner.name}: ${count()} of ${lineCount} lines came out`);
      // The first round warms up.
      if (round > 0) times[at].push(tookMs);
    }
  }
  console.log(
    `${lineCount} sample lines of a resting board in chunks of ${chunkBytes} bytes, seed ${seed}, median of ${rounds} interleaved runs:`,
  );
  console.table(
    runners.map(({ name }, at) => ({
      path: name,
      'lines a second': Math.round((lineCount / median(times[at])) * 1000),
      'time against stock': (median(times[at]) / median(times[0])).toFixed(2),
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
