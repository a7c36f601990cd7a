import { createWriteStream } from 'node:fs';
import { mkdtemp, readFile, rm, truncate, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Writable } from 'node:stream';
import type { WriteStream } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { encodeHello } from '../../firmware-proto/wire.ts';
import { CaptureWriter, type CaptureHead } from '../../host/capture/captureWriter.ts';
import type { RecordedSample } from '../../host/capture/recorded.ts';
import { openRecording } from '../../host/capture/recording.ts';
import { replayCandidate } from '../../host/capture/replayPort.ts';
import { BoardLink } from '../../host/link/boardLink.ts';
import type { BoardSample } from '../../host/link/boardSample.ts';
import { patience, quickest } from '../job/patience.ts';
import { testHello, testSample, until } from './link-farEnd.ts';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lodepole-capture-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const head: CaptureHead = {
  source: 'board 3F2A91C4 on /dev/ttyUSB0',
  hello: testHello,
  site: { name: 'Längfeld', latitudeRad: 47.2 * degree, longitudeRad: 8.4 * degree, elevationM: 540 },
  startedUtcMs: Date.UTC(2026, 10, 25, 20),
};

/** A capture of samples `from` to `to`, 100 a second. */
async function written(name: string, from: number, to: number): Promise<string> {
  const path = join(folder, name);
  const writer = await CaptureWriter.create(path, head, expect.fail);
  for (let n = from; n < to; n += 1) {
    writer.keep({ line: testSample(n), arrivalS: 1000 + n / 100 });
    if (n % 1000 === 0) await new Promise((resolve) => setTimeout(resolve, 1));
  }
  await writer.close();
  expect(writer.lines).toBe(to - from);
  return path;
}
async function read(path: string): Promise<RecordedSample[]> {
  const samples: RecordedSample[] = [];
  for await (const sample of (await openRecording(path)).samples) samples.push(sample);
  return samples;
}

describe('captures', () => {
  test('keep hello, site and raw lines, and give the same samples back', async () => {
    const path = await written('plain', 65_000, 66_000);
    const recording = await openRecording(path);
    expect(recording).toMatchObject({ kind: 'capture', hello: testHello, scaleKnown: true });
    expect(recording.site?.latitudeRad).toBeCloseTo(47.2 * degree, 12);
    expect(recording.site?.name).toBe('Längfeld');
    const samples = await read(path);
    expect(samples).toHaveLength(1000);
    expect(samples[999].timeS).toBeCloseTo(9.99, 9);
    expect(samples[0].accelG).toEqual([12 * 0.00098, -7 * 0.00098, 1018 * 0.00098]);
    expect(await readFile(path, 'utf8')).toContain(testSample(65_536).trimEnd());
  });

  test('go on over a port that was opened anew, also when the board runs on', async () => {
    const path = join(folder, 'reopened');
    const writer = await CaptureWriter.create(path, head, expect.fail);
    for (let n = 0; n < 10; n += 1) writer.keep({ line: testSample(n), arrivalS: n / 100 });
    writer.keep({ line: encodeHello(testHello), arrivalS: 60 });
    writer.portOpened();
    for (let n = 6000; n < 6010; n += 1) writer.keep({ line: testSample(n), arrivalS: n / 100 });
    await writer.close();
    const samples = await read(path);
    expect(samples).toHaveLength(20);
    expect(samples[10].timeS).toBeCloseTo(60, 1);
  });

  test('never overwrite, and say where they cannot be made', async () => {
    const path = await written('once', 0, 3);
    await expect(CaptureWriter.create(path, head, expect.fail)).rejects.toMatchObject({ code: 74 });
    expect(await read(path)).toHaveLength(3);
    await expect(CaptureWriter.create(join(folder, 'no', 'x'), head, expect.fail)).rejects.toMatchObject({ code: 74 });
  });

  test('damage is skipped and counted: a torn end, an altered line, a line of something else', async () => {
    const path = await written('damaged', 0, 100);
    const text = await readFile(path, 'utf8');
    await writeFile(
      path,
      text.replace('0.500000 S 50 ', '0.500000 S 51 ').replace('# started', 'what is this\n# started'),
    );
    await truncate(path, Buffer.byteLength(text) - 10);
    const recording = await openRecording(path);
    let count = 0;
    for await (const sample of recording.samples) count += sample.accelG === undefined ? 0 : 1;
    expect(count).toBe(98);
    expect(recording.counters).toMatchObject({ samples: 98, badCrc: 1, torn: 1, lost: 1 });
  });

  test('without a hello, without a sample, or with a site that is none they are refused', async () => {
    const path = join(folder, 'unsound');
    await writeFile(path, `# lodepole capture 1\n0.01 ${testSample(1)}`);
    await expect(openRecording(path)).rejects.toMatchObject({
      code: 65,
      message: expect.stringContaining('identification'),
    });
    await writeFile(path, `# lodepole capture 1\n# hello ${encodeHello(testHello)}`);
    await expect(read(path)).rejects.toMatchObject({ code: 65, message: expect.stringContaining('no usable sample') });
    await writeFile(path, `# lodepole capture 1\n# site {"latitudeDeg":95}\n# hello ${encodeHello(testHello)}`);
    await expect(openRecording(path)).rejects.toMatchObject({ code: 65, message: expect.stringContaining('site') });
  });

  test('a full disk ends the recording aloud, once, and nothing else', async () => {
    const troubles: string[] = [];
    const writer = new CaptureWriter('/dev/full', createWriteStream('/dev/full'), (words) => troubles.push(words));
    let offered = 0;
    const keep = (count: number): void => {
      for (const end = offered + count; offered < end; offered += 1)
        writer.keep({ line: testSample(offered), arrivalS: offered / 100 });
    };
    keep(500);
    await until('the trouble', () => troubles.length > 0);
    const before = writer.linesNotKept;
    for (let n = 0; n < 10; n += 1) {
      keep(500);
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
    await writer.close();
    expect(troubles).toHaveLength(1);
    expect(troubles[0]).toMatch(/recording stopped \(the disk is full\).*needles go on/i);
    expect(writer.linesNotKept).toBe(before + 5000);
  });

  test('a disk that hangs fills no memory', async () => {
    const troubles: string[] = [];
    let held = 0;
    const hung = new Writable({
      write: (chunk: Buffer) => {
        held += chunk.length;
      },
    });
    const writer = new CaptureWriter('hung', hung as unknown as WriteStream, (words) => troubles.push(words));
    for (let n = 0; n < 100_000; n += 1) writer.keep({ line: testSample(n), arrivalS: n / 100 });
    expect(held).toBeGreaterThan(0);
    expect(hung.writableLength).toBeLessThan(1_100_000);
    expect(troubles).toEqual([expect.stringContaining('too slow')]);
    expect(writer.lines + writer.linesNotKept).toBe(100_000);
    const start = performance.now();
    await writer.close();
    expect(performance.now() - start).toBeLessThan(500 * patience());
  });
});

describe('replay through the link', () => {
  /** All samples of a file played through a link, and the seconds it took. */
  async function played(
    path: string,
    fast: boolean,
  ): Promise<{ samples: BoardSample[]; tookS: number; link: BoardLink }> {
    const candidate = replayCandidate(path, fast, (error) => expect.fail(String(error)));
    const link = new BoardLink({ candidates: async () => [candidate], once: true });
    const samples: BoardSample[] = [];
    link.onSample((sample) => samples.push(sample));
    const start = performance.now();
    link.start();
    await until('the end', () => link.status().state === 'lost');
    await link.close();
    return { samples, tookS: (performance.now() - start) / 1000, link };
  }

  test('as fast as it goes: every sample, the same as read from the file', async () => {
    const path = await written('fast', 0, 20_000);
    const { samples, link } = await played(path, true);
    expect(samples).toHaveLength(20_000);
    const seen = samples.map(({ boardS, accelG, fieldNt }) => ({ timeS: boardS, accelG, fieldNt }));
    expect(seen).toEqual((await read(path)).map(({ timeS, accelG, fieldNt }) => ({ timeS, accelG, fieldNt })));
    expect(link.status()).toMatchObject({ state: 'lost', words: expect.stringContaining('end of the recording') });
  });

  test('at its own speed', async () => {
    const path = await written('slow', 0, 150);
    const limitS = 2.5;
    const quickestS = await quickest(limitS, async () => {
      const { samples, tookS } = await played(path, false);
      expect(samples).toHaveLength(150);
      expect(tookS).toBeGreaterThan(1.4);
      return tookS;
    });
    expect(quickestS).toBeLessThan(limitS);
  });

  test("a logger's CSV too, thinned to 100 samples a second", async () => {
    const path = join(folder, 'log.csv');
    const rows = Array.from({ length: 400 }, (_, n) => `${(n / 200).toFixed(4)},0.01,${n / 1000},0.99,20.02,-3.5,41\n`);
    await writeFile(path, `t_s,ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut\n${rows.join('')}`);
    const { samples } = await played(path, true);
    expect(samples).toHaveLength(200);
    expect(samples[100].boardS).toBeCloseTo(1, 6);
    expect(samples[100].accelG[1]).toBeCloseTo(0.2, 3);
    expect(samples[100].fieldNt).toEqual([20020, -3500, 41000]);
  });

  test('a CSV without time is refused with what to do', async () => {
    const path = join(folder, 'timeless.csv');
    await writeFile(path, 'ax_g,ay_g,az_g\n0,0,1\n');
    const faults: unknown[] = [];
    const candidate = replayCandidate(path, true, (error) => faults.push(error));
    const link = new BoardLink({ candidates: async () => [candidate], once: true });
    link.start();
    await until('the end', () => link.status().state === 'lost');
    await link.close();
    expect(faults).toEqual([expect.objectContaining({ code: 65, whatToDo: expect.stringContaining('tumble --from') })]);
  });
});
