import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { arcminute, arcsecond, degree } from '../../calibration/angle.ts';
import { sightRow, sightsHeader } from '../../host/steps/sightsFile.ts';
import { cautions } from '../../host/words/cautions.ts';
import { watchStar } from '../statistics/driftNights.ts';
import { drawNight, missRad, takeNight, visibleStars, type Night } from '../statistics/sightNights.ts';
import { run, type Ran } from './lodepole.ts';

let home: string;
beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-'));
});
afterAll(() => rm(home, { recursive: true, force: true }));

const lodepole = (...words: string[]): Promise<Ran> => run(home, words);
const json = ({ stdout }: Ran): Record<string, unknown> => {
  const answer = JSON.parse(stdout) as Record<string, unknown>;
  expect(Object.keys(answer)[0]).toBe('schema');
  return answer;
};
const at = (site: Night['site']): string[] => [
  '--lat',
  String(site.latitudeRad / degree),
  '--lon',
  String(site.longitudeRad / degree),
];

describe('the commands of site and sky', () => {
  it('site: refuses without coordinates, saves, and serves sky from then on', async () => {
    const missing = await lodepole('sky', '--star', 'vega');
    expect(missing.code).toBe(64);
    expect(missing.stderr).toContain('site');
    const saved = await lodepole(
      ...['site', '--lat', '47d15\'30"N', '--lon', '112.5W', '--elevation', '1640 ft', '--date', '2026-11-25'],
      ...['--horizon', '330-60:55', '--save', '--json'],
    );
    const site = json(saved);
    expect(site.poleAltitudeDeg).toBeCloseTo(47.258333, 5);
    for (const key of ['poleAzimuthDeg', 'variationDeg', 'dipDeg', 'fieldNt', 'horizontalNt', 'sigmaVariationDeg']) {
      expect(typeof site[key]).toBe('number');
    }
    expect(site).toMatchObject({ modelValidUntil: '2029-12-31', zone: 'ok', elevationM: 499.872 });
    const sky = json(await lodepole('sky', '--star', 'alpha Lyr', '--at', '2026-11-25T21:30:00Z', '--json'));
    for (const key of ['altitudeDeg', 'azimuthDeg', 'hourAngleDeg', 'refractedAltitudeDeg']) {
      expect(typeof sky[key]).toBe('number');
    }
  });

  it('site: stops in the blackout zone with its gate, and still gives the pole', async () => {
    const ran = await lodepole('site', '--lat', '89', '--lon', '-121', '--date', '2025-01-01', '--json');
    expect(ran.code).toBe(1);
    expect(json(ran)).toMatchObject({ zone: 'blackout', gate: { verdict: 'stop', limit: 2000 }, poleAltitudeDeg: 89 });
  });

  it('sky: shows the caution with the Sun, refuses an unknown name with near matches', async () => {
    const place = ['--lat', '-33.5', '--lon', '148'];
    expect((await lodepole('sky', '--star', 'sun', ...place)).stderr).toContain('Never look at or near the Sun');
    const unknown = await lodepole('sky', '--star', 'Vegga', ...place);
    expect(unknown.code).toBe(64);
    expect(unknown.stderr).toContain('Did you mean Vega');
    expect((await lodepole('sky', '--star', 'vega', '--at', '1850-01-01', ...place)).code).toBe(64);
  });

  it('sight: finds the axis from a file, keeps it in the night, names a wrong star', async () => {
    const night = { ...drawNight(8), start: new Date('2026-12-01T03:00:00Z') };
    const taken = takeNight(night, 6, 'recommended');
    const rows = taken.map(({ sight, seen }, i) => {
      const utc = new Date(night.start.getTime() + i * 180_000);
      return sightRow({ utc, star: seen.star, side: sight.side, rollRad: sight.rollRad });
    });
    const file = join(home, 'sights.csv');
    await writeFile(file, `${[sightsHeader, ...rows].join('\n')}\n`);
    const { altitudeError: a, azimuthError: x } = night.prior;
    const needles = [a.valueRad, a.sigmaRad, x.valueRad, x.sigmaRad].map((angle) => angle / arcminute).join(',');
    const ran = await lodepole(
      ...['sight', '--from', file, '--needles', needles, '--keep', '--json', ...at(night.site)],
    );
    expect(ran.code).toBe(0);
    const answer = json(ran) as Record<string, number>;
    const miss = missRad(night, answer.altitudeErrorDeg * degree, answer.azimuthErrorDeg * degree);
    expect(miss).toBeLessThan(4 * answer.sigmaOnSkyArcmin * arcminute);
    expect(answer).toMatchObject({ verdict: 'consistent', accepted: true });
    const [ofThatNight, ...others] = await readdir(join(home, 'nights'));
    expect(others).toEqual([]);
    const kept = (await readFile(join(home, 'nights', ofThatNight), 'utf8')).trimEnd().split('\n');
    expect(kept.map((line) => JSON.parse(line) as object)).toMatchObject([
      { schema: 1, kind: 'sights', restsOnCompass: true },
    ]);

    const wrong = rows.with(2, rows[2].replace(taken[2].seen.star.name, taken[0].seen.star.name));
    await writeFile(file, `${[sightsHeader, ...wrong].join('\n')}\n`);
    const told = json(await lodepole('sight', '--from', file, '--json', ...at(night.site)));
    expect(told).toMatchObject({ verdict: 'misnamed', culprit: 3 });
  });

  it('drift: finds the axis from readings of two stars in divisions of a reticle', async () => {
    const night = { ...drawNight(12), start: new Date('2026-12-01T03:00:00Z') };
    const visible = visibleStars(night, night.start);
    const toward = (wanted: number) =>
      visible.reduce((best, seen) =>
        Math.abs(Math.abs(seen.hourAngleRad) - wanted) < Math.abs(Math.abs(best.hourAngleRad) - wanted) ? seen : best,
      );
    const rows = [toward(0), toward(80 * degree)].flatMap((seen, i) => {
      const start = new Date(night.start.getTime() + i * 400_000);
      return watchStar(night, seen, start).readings.map(({ timeS, northRad }) => {
        const utc = new Date(start.getTime() + timeS * 1000).toISOString();
        return `${seen.star.name},${utc},${(northRad / (12 * arcsecond)).toFixed(4)}`;
      });
    });
    const file = join(home, 'drift.csv');
    await writeFile(file, `star,utc,north\n${rows.join('\n')}\n`);
    const answer = json(
      await lodepole('drift', '--from', file, '--division', '12', '--json', ...at(night.site)),
    ) as Record<string, number>;
    const miss = missRad(night, answer.altitudeErrorDeg * degree, answer.azimuthErrorDeg * degree);
    expect(miss).toBeLessThan(4 * arcminute);
    expect(miss).toBeLessThan(4 * Math.hypot(answer.sigmaAltitudeErrorDeg, answer.sigmaAzimuthErrorDeg) * degree);
  });

  it('sight and drift: name no star by day, say from when, and say the cautions first', async () => {
    const place = ['--lat', '46', '--lon', '8', '--elevation', '0'];
    for (const command of ['sight', 'drift']) {
      const day = await lodepole(command, '--list', '--json', '--at', '2026-11-29T12:00Z', ...place);
      expect(day.code).toBe(0);
      // Sun by Meeus, ch. 25 (tests/published/sky-starlight.test.ts has the formula): 21.75 degrees.
      expect(json(day)).toMatchObject({
        stars: [],
        sunAltitudeDeg: expect.closeTo(21.75, 1),
        darkFrom: expect.stringMatching(/^2026-11-29T16:(19|20):/),
        reason: expect.stringMatching(/^The Sun is up, .* from 2026-11-29 16:20 UTC on\.$/),
      });
      expect(day.stderr.split('\n')[0]).toBe(`Caution: ${cautions.sun}`);
      const told = await lodepole(command, '--list', '--at', '2026-11-29T12:00Z', ...place);
      expect(told.stdout).toMatch(/^The Sun is up.*\n$/);
      const night = json(await lodepole(command, '--list', '--json', '--at', '2026-11-29T22:00Z', ...place));
      expect(night).toMatchObject({ reason: '', darkFrom: '2026-11-29T22:00:00.000Z' });
      expect((night.stars as unknown[]).length).toBeGreaterThan(7);
      const twilight = json(await lodepole(command, '--list', '--json', '--at', '2026-11-29T16:12Z', ...place));
      expect(twilight.reason).toMatch(/stars fainter than magnitude 0\.\d cannot be found/);
    }
    const noonNow = String((12 - new Date().getUTCHours()) * 15 - 7);
    const refused = await lodepole('drift', '--star', 'sirius', '--lat', '10', '--lon', noonNow);
    expect(refused.code).toBe(1);
    expect(refused.stderr).toMatch(/Do not take Sirius now\. The Sun is up[^]*Take [A-Z][^]* from [^]* UTC on/);
    expect(refused.stdout).toBe('');
  });

  it('drift: reads a file of readings that were made by day, with a caution', async () => {
    const file = join(home, 'by-day.csv');
    const rows = Array.from({ length: 6 }, (_, i) => `vega,2026-11-29T12:0${i}:00Z,${i / 5}`);
    await writeFile(file, `star,utc,north\n${rows.join('\n')}\n`);
    const ran = await lodepole('drift', '--from', file, '--json', '--lat', '46', '--lon', '8');
    expect(ran.code).toBe(0);
    expect(ran.stderr).toMatch(/Caution: The Sun was up or about to rise when Vega was read at 2026-11-29 12:0\d UTC/);
  });

  it('sight --sun: says its cautions before anything else, with and without a shadow', async () => {
    for (const given of [[], ['--shadow', '132.5']]) {
      const ran = await lodepole('sight', '--sun', ...given, '--gravity', '0,0,1');
      expect(ran.stderr.split('\n').slice(0, 2)).toEqual(
        [cautions.sun, cautions.shadow].map((one) => `Caution: ${one}`),
      );
      expect(ran.code).toBe(64);
    }
  });

  it('enough: says how far from the pole is allowed, and the odds', async () => {
    const photo = ['enough', '--exposure', '120', '--focal', '400', '--pixel', '3.8'];
    const good = json(await lodepole(...photo, '--distance', '1', '--sigma', '0.5', '--json'));
    expect(good).toMatchObject({ verdict: 'good enough', limitedBy: 'drift' });
    // 3.8 um at 400 mm in 120 s: 1.96 arcseconds over 0.525 arcsecond for each arcminute.
    expect(good.allowedArcmin).toBeCloseTo(1.9595 / (2 * 0.26252), 1);
    const bad = await lodepole(...photo, '--distance', '30', '--sigma', '2');
    expect(bad.code).toBe(1);
    expect(bad.stdout).toContain('not good enough');
    expect((await lodepole('enough')).code).toBe(64);
  });

  it('every command has help with an example', async () => {
    for (const command of ['site', 'sky', 'sight', 'drift', 'enough']) {
      const { code, stdout } = await lodepole(command, '--help');
      expect(code).toBe(0);
      expect(stdout).toMatch(/Examples?:/);
    }
  });
});
