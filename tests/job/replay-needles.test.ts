import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';

const main = fileURLToPath(new URL('../../host/main.ts', import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'lodepole-replay-'));
afterAll(() => rmSync(folder, { recursive: true }));

const run = (...options: string[]): { status: number | null; stdout: string; stderr: string } =>
  spawnSync(process.execPath, ['--import', 'tsx', main, ...options], {
    encoding: 'utf8',
    env: { ...process.env, LODEPOLE_HOME: folder },
  });
interface Line {
  timeUtc: string;
  azimuthErrorDeg: number;
  sigmaAzimuthErrorDeg: number;
  altitudeErrorDeg: number;
  sigmaAltitudeErrorDeg: number;
}
const needlesOf = (stdout: string): Line[] =>
  stdout
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line) as Line);

describe('the replay of a capture of a calibrated board', () => {
  const capture = join(folder, 'calibrated.capture');

  it('shows the same needles at the time of the recording', () => {
    const live = run('watch', '--virtual', 'woolshed', '--fast', '--seconds', '6', '--record', capture, '--json');
    expect(live.status, live.stderr).toBe(0);
    const replay = run('replay', capture, '--fast', '--json');
    expect(replay.status, replay.stderr).toBe(0);
    const seen = needlesOf(live.stdout).at(-1)!;
    const again = needlesOf(replay.stdout).at(-1)!;
    expect(Math.abs(again.azimuthErrorDeg - seen.azimuthErrorDeg)).toBeLessThan(seen.sigmaAzimuthErrorDeg / 10);
    expect(Math.abs(again.altitudeErrorDeg - seen.altitudeErrorDeg)).toBeLessThan(seen.sigmaAltitudeErrorDeg);
    expect(again.sigmaAzimuthErrorDeg / seen.sigmaAzimuthErrorDeg).toBeCloseTo(1, 1);
    expect(Math.abs(Date.parse(again.timeUtc) - Date.parse(seen.timeUtc))).toBeLessThan(1500);
    expect(Date.now() - Date.parse(again.timeUtc)).toBeGreaterThan(200);
  });

  it('refuses a model in the head that is not sound, and says which line', () => {
    const broken = join(folder, 'broken.capture');
    writeFileSync(broken, readFileSync(capture, 'utf8').replace(/("axisInBoard":\[)[^,]+/, '$17'));
    const { status, stderr } = run('replay', broken, '--fast', '--json');
    expect(status).toBe(65);
    expect(stderr).toContain('the model in its head is not sound');
    expect(stderr).toContain('axisInBoard is not a unit vector');
  });

  it('says in words that there is no such file', () => {
    const { status, stderr } = run('replay', join(folder, 'none.capture'));
    expect(status).toBe(74);
    expect(stderr).toContain(`There is no file ${join(folder, 'none.capture')}.`);
    expect(stderr).not.toContain('ENOENT');
  });
});
