import { mkdtempSync } from 'node:fs';
import { readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { encodeSample, type Hello } from '../../firmware-proto/wire.ts';
import { CaptureWriter } from '../../host/capture/captureWriter.ts';
import { readCalibrationFile } from '../../host/store/calibrationFile.ts';
import { chipProfiles, randomBoard } from '../statistics/tumble-boards.ts';
import { handTumble } from '../statistics/tumble-hand.ts';
import { endOf, run, start, type Ran } from './lodepole.ts';

const recording = (name: string): string => fileURLToPath(new URL(`../recordings/data/${name}`, import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'lodepole-'));
afterAll(() => rm(folder, { recursive: true, force: true }));

const tumble = (...words: string[]): Promise<Ran> => run(folder, ['tumble', ...words]);

/** Takes its twenty seconds while the others run. */
const coached = tumble('--virtual', 'orchard', '--fast', '--seconds', '14', '--json');

/** Both are ended before they have seen much: one by its time, one by Ctrl-C. */
const short = tumble('--virtual', 'woolshed', '--fast', '--seconds', '1');
const stopped = start(folder, ['tumble', '--virtual', 'woolshed', '--fast']);
const interrupt = (bytes: Buffer): void => {
  if (!bytes.toString().includes('percent of the sphere')) return;
  stopped.stderr.off('data', interrupt);
  stopped.kill('SIGINT');
};
stopped.stderr.on('data', interrupt);
const interrupted = endOf(stopped);

describe('lodepole tumble --from', () => {
  it('answers one JSON object with the keys of the contract and keeps the calibration', async () => {
    const out = join(folder, 'board.json');
    const { code, stdout } = await tumble('--from', recording('rm3100-shots-hc.csv'), '--json', '--out', out);
    expect(code).toBe(0);
    const answer = JSON.parse(stdout) as Record<string, unknown>;
    expect(Object.keys(answer)[0]).toBe('schema');
    expect(answer).toMatchObject({ schema: 1, accepted: true, samplesUsed: 24, samplesRejected: 0 });
    for (const key of ['sigmaHeadingDeg', 'sigmaTiltDeg', 'fieldResidualPercent', 'dipDeg', 'coveragePercent'])
      expect(typeof answer[key]).toBe('number');
    expect(typeof answer.reason).toBe('string');
    const kept = await readCalibrationFile(out);
    expect(kept.calibration.samplesUsed).toBe(24);
    expect(kept.calibration.covariance).toHaveLength(484);
  });

  it('refuses with exit code 1, reason, value, limit and next action, and leaves what was kept', async () => {
    const out = join(folder, 'kept.json');
    await writeFile(out, 'as it was');
    const { code, stdout } = await tumble('--from', recording('fxos8700-tumble.csv'), '--json', '--out', out);
    expect(code).toBe(1);
    expect(JSON.parse(stdout)).toMatchObject({ accepted: false, unit: 'percent', limit: 4 });
    expect(JSON.parse(stdout)).toHaveProperty('nextAction');
    expect(await readFile(out, 'utf8')).toBe('as it was');
  });

  it('says in words what one sensor alone leaves unknown', async () => {
    const { code, stdout } = await tumble('--from', recording('qmc5883l-tumble.csv'));
    expect(code).toBe(1);
    expect(stdout).toMatch(/REFUSED[^]*hard iron[^]*strength only/);
  });

  it('calibrates out of a capture, scaled by what the board said of itself', async () => {
    const chip = { name: 'LSM303AGR', id: 0x33, orientation: '+X+Y+Z' } as const;
    const hello: Hello = {
      kind: 'hello',
      protocol: 1,
      firmware: '0.1.0',
      boardId: '3F2A91C4',
      accelerometer: { ...chip, gPerCount: 0.00098 },
      magnetometer: { ...chip, ntPerCount: 150 },
      temperature: { cPerCount: 0.00390625, cAtZero: 25 },
      sampleHz: 50,
    };
    const path = join(folder, 'tumble.capture');
    const random = new Random(31);
    const board = randomBoard(random);
    const hand = { seconds: 60, samplesPerS: 50, rateRadPerS: 0.6, rateTimeS: 2, leverM: 0, restS: 1, turnS: 4 };
    const writer = await CaptureWriter.create(path, { source: 'a test', hello, startedUtcMs: 0 }, expect.fail);
    const counts = (vector: Vector3, unit: number): Vector3 => {
      const [x, y, z] = vector.map((value) => Math.round(value / unit));
      return [x, y, z];
    };
    handTumble(random, board, chipProfiles.typical, { ...hand, jitterG: 0, jitterTimeS: 1 }).forEach((sample, i) => {
      const line = encodeSample({
        seq: i,
        micros: i * 20_000,
        accel: counts(sample.accelG, 0.00098),
        field: counts(sample.fieldNt, 150),
        rate: undefined,
        temperature: 0,
      });
      writer.keep({ line, arrivalS: i / 50 });
    });
    await writer.close();
    const { code, stdout } = await tumble('--from', path, '--json');
    const answer = JSON.parse(stdout) as {
      dipDeg: number;
      sigmaDipDeg: number;
      accepted: boolean;
      samplesUsed: number;
    };
    expect(answer.accepted).toBe(true);
    expect(code).toBe(0);
    // Without a site the sign of the dip is not known.
    const off = Math.abs(Math.abs(answer.dipDeg) - Math.abs(board.dipRad) / degree);
    expect(off).toBeLessThan(4 * answer.sigmaDipDeg);
    expect(answer.sigmaDipDeg).toBeLessThan(1.5);
    expect(answer.samplesUsed).toBeGreaterThan(2000);
  });

  it('takes only the sensor with counts for one of unknown scale', async () => {
    const path = join(folder, 'counts.csv');
    const text = await readFile(recording('rm3100-shots-hc.csv'), 'utf8');
    await writeFile(path, text.replace('ax_g,ay_g,az_g', 'ax_raw,ay_raw,az_raw'));
    const site = ['--lat', '51.5', '--lon', '-2.5'];
    const asIs = await tumble('--from', recording('rm3100-shots-hc.csv'), '--json', ...site);
    const counts = await tumble('--from', path, '--json', ...site);
    const strengthOffOf = ({ stdout }: Ran): number =>
      (JSON.parse(stdout) as { gates: { reason: string; value: number }[] }).gates.find(({ reason }) =>
        reason.startsWith('field strength by'),
      )?.value ?? NaN;
    expect(strengthOffOf(asIs)).toBeGreaterThan(0);
    expect(strengthOffOf(counts)).toBeCloseTo(strengthOffOf(asIs), 6);
  });

  it('calls nothing accepted that could not be kept, and says why in words of its own', async () => {
    await writeFile(join(folder, 'a-file'), '');
    for (const out of ['/proc/board.json', join(folder, 'nowhere', 'board.json'), join(folder, 'a-file', 'b.json')]) {
      const ran = await tumble('--from', recording('rm3100-shots-hc.csv'), '--json', '--out', out);
      expect(ran, out).toMatchObject({ code: 74, stdout: '' });
      const said = ran.stderr.replace(/\s+/g, ' ');
      expect(said).toMatch(/cannot be written: .*Choose another file or folder/);
      expect(said).not.toMatch(/LODEPOLE_HOME|ENO|EACCES|open '/);
    }
  });

  it('says that one sensor is kept, and that the columns of the other were skipped', async () => {
    const path = join(folder, 'degrees.csv');
    const text = await readFile(recording('rm3100-shots-hc.csv'), 'utf8');
    await writeFile(path, text.replace('mx_ut,my_ut,mz_ut', 'mx_deg,my_deg,mz_deg'));
    const out = join(folder, 'one.json');
    const { code, stdout, stderr } = await tumble('--from', path, '--out', out);
    expect(stdout).toMatch(/accelerometer alone.*accepted[^]*skipped mx_deg, my_deg, mz_deg.*microtesla.*gauss/);
    expect(stderr.replace(/\s+/g, ' ')).toMatch(/Caution: .*skipped mx_deg.*Saved in .*one\.json/);
    expect(code).toBe(0);
    await expect(readCalibrationFile(out)).rejects.toMatchObject({
      code: 65,
      message: expect.stringMatching(/the accelerometer alone: it has no magnetometer/),
    });
  });

  it('says what is wrong with an empty file, with exit code 65', async () => {
    const path = join(folder, 'empty.csv');
    await writeFile(path, '');
    const { code, stderr, stdout } = await tumble('--from', path);
    expect(code).toBe(65);
    expect(stdout).toBe('');
    expect(stderr).toMatch(/is empty/);
  });
});

describe('lodepole tumble, live', () => {
  it('without a board ends with exit code 69; practice is never taken for a measurement', async () => {
    const { code, stdout, stderr } = await tumble('--seconds', '5');
    expect(stdout).toBe('');
    expect(code).toBe(69);
    expect(stderr.replace(/\s+/g, ' ')).toMatch(/No board answered\..*--virtual orchard or --virtual woolshed/);
  });

  it('says that it ended early, and at what', async () => {
    const early = /The tumble ended early, after \d+ s: \d+ readings and \d+ percent of the sphere\./;
    expect((await short).stderr).toMatch(early);
    const { code, stderr } = await interrupted;
    expect(code).toBe(130);
    expect(stderr.replace(/\s+/g, ' ')).toMatch(/Interrupted\. The tumble ended early, .*Nothing was kept/);
  });

  it('tells how far the virtual hands have come, and calibrates the board', async () => {
    const { code, stdout, stderr } = await coached;
    expect(stderr.replace(/\s+/g, ' ')).toMatch(/Virtual hands carry it .* percent of the sphere\./);
    const answer = JSON.parse(stdout) as { accepted: boolean; sigmaHeadingDeg: number; dipDeg: number };
    expect(answer.accepted).toBe(true);
    expect(code).toBe(0);
    expect(answer.sigmaHeadingDeg).toBeLessThan(1);
    // the scene: about 46 north in the north-west of North America, dip about 69 degrees
    expect(Math.abs(answer.dipDeg - 69)).toBeLessThan(1.5);
  });
});
