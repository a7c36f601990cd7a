import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { nightText } from '../../host/night/nightReport.ts';
import { nightHtml } from '../../host/night/nightSheet.ts';
import { run, type Ran } from './lodepole.ts';

interface NightLine {
  schema: number;
  kind: string;
  altitudeErrorDeg: number;
  sigmaAltitudeErrorDeg: number;
  azimuthErrorDeg: number;
  sigmaAzimuthErrorDeg: number;
  parts: { kind: string; altitudeWeight: number; azimuthWeight: number }[];
  entries: { kind: string; by?: string; words?: string; timeUtc: string; sigmaAzimuthErrorDeg?: number }[];
  truth: { altitudeErrorDeg: number; azimuthErrorDeg: number; distanceDeg: number };
}

describe('the night command', () => {
  let home: string;
  beforeAll(async () => {
    home = await mkdtemp(join(tmpdir(), 'lodepole-night-'));
  });
  afterAll(() => rm(home, { recursive: true }));
  const lodepole = (...words: string[]): Promise<Ran> => run(home, ['night', ...words]);

  it.each([
    ['orchard', '2027-01-15T04:00:00Z'],
    ['woolshed', '2027-01-15T11:00:00Z'],
  ])(
    'rehearses a whole night in %s by its own advice: each rung narrower than the one before, the answer near the truth',
    async (scene, at) => {
      const html = join(home, `${scene}.html`);
      const { code, stdout, stderr } = await lodepole(
        ...['--virtual', scene, '--seed', '4', '--at', at],
        '--json',
        '--html',
        html,
      );
      expect(code).toBe(0);
      const night = JSON.parse(stdout) as NightLine;
      expect(Object.keys(night)[0]).toBe('schema');
      expect(stderr).toMatch(/invented/i);
      expect(night.entries[0].timeUtc.slice(0, 14)).toBe(at.slice(0, 14));
      const measured = night.entries.filter(({ kind }) => kind !== 'nudge' && kind !== 'note');
      // how often the bolts had to be turned is the night's own
      const kinds = night.entries.map(({ kind }) => kind);
      expect(kinds.slice(0, 5)).toEqual(['nudge', 'compass', 'nudge', 'note', 'sights']);
      expect(kinds.slice(5)).toEqual(expect.arrayContaining(['nudge', 'drift', 'note']));
      expect(night.entries.some(({ by }) => by === 'load')).toBe(true);
      expect(night.entries.some(({ by, words }) => by === 'locking' && words?.includes('in the eyepiece'))).toBe(true);
      expect(night.entries.at(-1)).toMatchObject({
        kind: 'note',
        step: 'sheet',
        words: expect.stringMatching(/^The axis stands .*Print the night sheet/) as string,
      });
      expect(measured[1].sigmaAzimuthErrorDeg).toBeLessThan((measured[0].sigmaAzimuthErrorDeg ?? NaN) / 3);
      expect(night.parts.map(({ kind }) => kind)).toEqual(['sights', 'drift']);
      const { truth } = night;
      const miss = [
        (night.altitudeErrorDeg - truth.altitudeErrorDeg) / night.sigmaAltitudeErrorDeg,
        (night.azimuthErrorDeg - truth.azimuthErrorDeg) / night.sigmaAzimuthErrorDeg,
      ];
      for (const sigmas of miss) expect(Math.abs(sigmas)).toBeLessThan(3.5);
      expect(truth.distanceDeg).toBeLessThan(6 / 60);
      const page = await readFile(html, 'utf8');
      expect(page).toMatch(/^<!doctype html>/);
      expect(page.match(/<tr>/g)).toHaveLength(kinds.length);
      expect(page).not.toMatch(/https?:|<script/);
    },
  );

  it('leaves the log of the real night alone, and says so when nothing was measured', async () => {
    const { code, stdout } = await lodepole();
    expect(code).toBe(0);
    expect(stdout).toBe('Nothing was measured this night.\n');
  });

  it('refuses a scene that is not there, a seed and a time that are none', async () => {
    expect((await lodepole('--virtual', 'beach')).code).toBe(64);
    expect((await lodepole('--virtual', 'orchard', '--seed', 'x')).code).toBe(64);
    expect((await lodepole('--virtual', 'orchard', '--at', 'soon')).code).toBe(64);
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
