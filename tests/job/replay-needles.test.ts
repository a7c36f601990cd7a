import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { run, type Ran } from './lodepole.ts';

const folder = mkdtempSync(join(tmpdir(), 'lodepole-replay-'));
afterAll(() => rmSync(folder, { recursive: true }));

const lodepole = (...words: string[]): Promise<Ran> => run(folder, words);
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
  let live: Ran;

  beforeAll(async () => {
    live = await lodepole('watch', '--virtual', 'woolshed', '--fast', '--seconds', '6', '--record', capture, '--json');
  });

  it('shows the same needles at the time of the recording', async () => {
    expect(live.code, live.stderr).toBe(0);
    const replay = await lodepole('replay', capture, '--fast', '--json');
    expect(replay.code, replay.stderr).toBe(0);
    const seen = needlesOf(live.stdout).at(-1)!;
    const again = needlesOf(replay.stdout).at(-1)!;
    expect(Math.abs(again.azimuthErrorDeg - seen.azimuthErrorDeg)).toBeLessThan(seen.sigmaAzimuthErrorDeg / 10);
    expect(Math.abs(again.altitudeErrorDeg - seen.altitudeErrorDeg)).toBeLessThan(seen.sigmaAltitudeErrorDeg);
    expect(again.sigmaAzimuthErrorDeg / seen.sigmaAzimuthErrorDeg).toBeCloseTo(1, 1);
    expect(Math.abs(Date.parse(again.timeUtc) - Date.parse(seen.timeUtc))).toBeLessThan(1500);
  });

  it('goes by the clock of the recording, however long ago that was', async () => {
    const old = join(folder, 'old.capture');
    writeFileSync(old, readFileSync(capture, 'utf8').replace(/^# started .*$/m, '# started 2026-01-02T03:04:05.000Z'));
    const { stdout } = await lodepole('replay', old, '--fast', '--json');
    const startedMs = Date.parse('2026-01-02T03:04:05Z');
    const lines = needlesOf(stdout);
    for (const { timeUtc } of lines) {
      expect(Date.parse(timeUtc)).toBeGreaterThanOrEqual(startedMs);
      expect(Date.parse(timeUtc)).toBeLessThan(startedMs + 20_000);
    }
    expect(Date.parse(lines.at(-1)!.timeUtc) - Date.parse(lines[0].timeUtc)).toBeGreaterThan(3000);
  });

  it('refuses a model in the head that is not sound, and says which line', async () => {
    const broken = join(folder, 'broken.capture');
    writeFileSync(broken, readFileSync(capture, 'utf8').replace(/("axisInBoard":\[)[^,]+/, '$17'));
    const { code, stderr } = await lodepole('replay', broken, '--fast', '--json');
    expect(code).toBe(65);
    expect(stderr).toContain('the model in its header is not valid');
    expect(stderr).toContain('axisInBoard is not a unit vector');
  });

  it('says in words that there is no such file', async () => {
    const { code, stderr } = await lodepole('replay', join(folder, 'none.capture'));
    expect(code).toBe(74);
    expect(stderr).toContain(`There is no file ${join(folder, 'none.capture')}.`);
    expect(stderr).not.toContain('ENOENT');
  });
});
