import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { nightHtml, nightText } from '../../host/sky/nightReport.ts';

const run = promisify(execFile);
const start = fileURLToPath(new URL('../../host/start.mjs', import.meta.url));

interface NightLine {
  schema: number;
  kind: string;
  altitudeErrorDeg: number;
  sigmaAltitudeErrorDeg: number;
  azimuthErrorDeg: number;
  sigmaAzimuthErrorDeg: number;
  parts: { kind: string; altitudeWeight: number; azimuthWeight: number }[];
  entries: { kind: string; timeUtc: string; sigmaAzimuthErrorDeg?: number }[];
  truth: { altitudeErrorDeg: number; azimuthErrorDeg: number; distanceDeg: number };
}

describe('the night command', () => {
  let home: string;
  beforeAll(async () => {
    home = await mkdtemp(join(tmpdir(), 'lodepole-night-'));
  });
  afterAll(() => rm(home, { recursive: true }));
  const lodepole = (...args: string[]) =>
    run(process.execPath, [start, 'night', ...args], { env: { ...process.env, LODEPOLE_HOME: home } });

  it.each(['orchard', 'woolshed'])(
    'rehearses a whole night in %s: each rung narrower than the one before, the answer near the truth',
    async (scene) => {
      const html = join(home, `${scene}.html`);
      const { stdout, stderr } = await lodepole('--virtual', scene, '--seed', '4', '--json', '--html', html);
      const night = JSON.parse(stdout) as NightLine;
      expect(Object.keys(night)[0]).toBe('schema');
      expect(stderr).toMatch(/invented/i);
      const measured = night.entries.filter(({ kind }) => kind !== 'nudge' && kind !== 'note');
      // how often the bolts had to be turned is the night's own
      const kinds = night.entries.map(({ kind }) => kind);
      expect(kinds.filter((kind) => kind !== 'nudge')).toEqual(['compass', 'sights', 'note', 'drift', 'note']);
      expect(kinds[0]).toBe('nudge');
      expect(night.entries.at(-1)).toMatchObject({
        kind: 'nudge',
        words: expect.stringContaining('Locking') as string,
      });
      expect(measured[1].sigmaAzimuthErrorDeg).toBeLessThan((measured[0].sigmaAzimuthErrorDeg ?? NaN) / 3);
      expect(night.parts.map(({ kind }) => kind)).toEqual(['sights', 'drift']);
      const { truth } = night;
      const miss = [
        (night.altitudeErrorDeg - truth.altitudeErrorDeg) / night.sigmaAltitudeErrorDeg,
        (night.azimuthErrorDeg - truth.azimuthErrorDeg) / night.sigmaAzimuthErrorDeg,
      ];
      for (const sigmas of miss) expect(Math.abs(sigmas)).toBeLessThan(3.5);
      expect(truth.distanceDeg).toBeLessThan(12 / 60);
      const page = await readFile(html, 'utf8');
      expect(page).toMatch(/^<!doctype html>/);
      expect(page.match(/<tr>/g)).toHaveLength(kinds.length);
      expect(page).not.toMatch(/https?:|<script/);
    },
    30_000,
  );

  it('leaves the log of the real night alone, and says so when nothing was measured', async () => {
    const { stdout } = await lodepole();
    expect(stdout).toBe('Nothing was measured this night.\n');
  });

  it('refuses a scene that is not there and a seed that is none', async () => {
    await expect(lodepole('--virtual', 'beach')).rejects.toMatchObject({ code: 64 });
    await expect(lodepole('--virtual', 'orchard', '--seed', 'x')).rejects.toMatchObject({ code: 64 });
  });

  it('shows what was measured before and after locking, and lets no text become markup', () => {
    const at = (minutes: number): string => new Date(Date.UTC(2026, 11, 1, 20, minutes)).toISOString();
    const entries = [
      {
        kind: 'sights' as const,
        timeUtc: at(0),
        altitudeErrorDeg: -0.05,
        azimuthErrorDeg: 0.2,
        sigmaAltitudeErrorDeg: 0.02,
        sigmaAzimuthErrorDeg: 0.04,
        correlation: 0,
        words: '4 sights: <b>Vega</b>',
      },
      {
        kind: 'nudge' as const,
        timeUtc: at(9),
        altitudeShiftDeg: 0.06,
        azimuthShiftDeg: -0.02,
        words: 'Locking moved the axis: 4′ high.',
      },
    ];
    const text = nightText({ entries });
    expect(text[1]).toBe(
      '20:00:00  Sights: altitude 3′ low, give or take 2′; azimuth 12′ east, give or take 5′. 4 sights: <b>Vega</b>.',
    );
    expect(text[2]).toBe('20:09:00  Moved 3.6′ up, 1.2′ toward west. Locking moved the axis: 4′ high.');
    expect(nightHtml({ entries })).toContain('&lt;b&gt;Vega&lt;/b&gt;');
  });
});
