import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readCalibrationFile } from '../../host/store/calibrationFile.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));
const recording = (name: string): string => join(root, 'tests/recordings/data', name);
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lodepole-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

interface Ran {
  code: number;
  stdout: string;
  stderr: string;
}
const tumble = (...words: string[]): Promise<Ran> =>
  new Promise((resolve) => {
    execFile(
      process.execPath,
      [join(root, 'node_modules/tsx/dist/cli.mjs'), join(root, 'host/main.ts'), 'tumble', ...words],
      { env: { ...process.env, LODEPOLE_HOME: folder } },
      (error, stdout, stderr) => resolve({ code: error ? Number(error.code) : 0, stdout, stderr }),
    );
  });

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
  it('coaches a tumble of the virtual board and calibrates it', async () => {
    const { code, stdout, stderr } = await tumble('--virtual', 'orchard', '--fast', '--seconds', '14', '--json');
    expect(stderr).toMatch(/percent of the sphere\. Turn the board so that/);
    const answer = JSON.parse(stdout) as { accepted: boolean; sigmaHeadingDeg: number; dipDeg: number };
    expect(answer.accepted).toBe(true);
    expect(code).toBe(0);
    expect(answer.sigmaHeadingDeg).toBeLessThan(1);
    // the scene: about 41 north in the middle of North America, dip about 68 degrees
    expect(Math.abs(answer.dipDeg - 68)).toBeLessThan(1.5);
  });
});
