// One way through the link in a process of its own, so that no runner spoils what the compiler learned from another.
import { ReadlineParser } from '@serialport/parser-readline';
import { degree } from '../../calibration/angle.ts';
import { LiveEstimator } from '../../calibration/live/estimator.ts';
import { uncalibratedModel } from '../../calibration/live/uncalibrated.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { encodeHello, encodeSample } from '../../firmware-proto/wire.ts';
import { CappedLines } from '../../host/link/cappedLines.ts';
import { LineIntake } from '../../host/link/lineIntake.ts';
import type { BoardSample } from '../../host/link/boardSample.ts';
import { fieldAt } from '../../host/site/field.ts';
import { polesOf, type Site } from '../../host/site/site.ts';
import { testHello } from '../faults/link-farEnd.ts';

const [lineCount, chunkBytes, seed] = process.argv.slice(2, 5).map(Number);
const path = process.argv[5];

const breathe = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

/** What a resting board at about 47 degrees north sends, noise and all, in the chunks that a serial port gives. */
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

/** Sets up for one run; returns what takes a chunk and what tells how many lines came out. */
type Runner = () => { take(chunk: Uint8Array): void; count(): number };

const stock: Runner = () => {
  let count = 0;
  const parser = new ReadlineParser({ delimiter: '\r\n', encoding: 'latin1' });
  parser.on('data', () => (count += 1));
  return { take: (chunk) => parser.write(chunk), count: () => count };
};

function live(makeSink: () => (sample: BoardSample) => boolean): Runner {
  return () => {
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
    const lines = new CappedLines((line, length) => intake.take(line, length, arrivalS));
    const take = (chunk: Uint8Array): void => {
      arrivalS = performance.now() / 1000;
      lines.push(chunk);
    };
    return { take, count: () => count };
  };
}

const site: Site = { latitudeRad: 47.2 * degree, longitudeRad: 8.4 * degree, elevationM: 540 };

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

const runners: Record<string, Runner> = { stock, samples: live(() => () => true), errors: live(toErrors) };
const chunks = restingBoard();

/** Answers every message with the milliseconds of one run. */
process.on('message', async () => {
  const { take, count } = runners[path]();
  await breathe();
  const start = performance.now();
  for (const chunk of chunks) take(chunk);
  const tookMs = performance.now() - start;
  if (count() < lineCount) throw new Error(`${path}: ${count()} of ${lineCount} lines came out`);
  process.send?.(tookMs);
});
