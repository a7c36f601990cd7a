import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { sightRow, sightsHeader } from '../../host/steps/sightsFile.ts';
import { drawNight, takeNight } from '../statistics/sightNights.ts';
import { run } from './lodepole.ts';

let home: string;
beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-'));
});
afterAll(() => rm(home, { recursive: true, force: true }));

it('names the next star given those that were taken, never one of them, and gains more with it than with the plain list', async () => {
  const drawn = drawNight(5);
  // three hours after midnight UTC is midnight there
  const site = { ...drawn.site, longitudeRad: -45 * degree };
  const night = { ...drawn, site, start: new Date('2026-12-01T03:00:00Z') };
  const taken = takeNight(night, 2, 'recommended');
  const rows = taken.map(({ sight, seen }, i) =>
    sightRow({
      utc: new Date(night.start.getTime() + i * 180_000),
      star: seen.star,
      side: sight.side,
      rollRad: sight.rollRad,
    }),
  );
  const file = join(home, 'sights.csv');
  await writeFile(file, `${[sightsHeader, ...rows].join('\n')}\n`);
  const place = ['--lat', String(night.site.latitudeRad / degree), '--lon', String(night.site.longitudeRad / degree)];
  const list = async (...more: string[]): Promise<{ star: string; sigmaAfterTwoArcmin: number }[]> => {
    const { stdout } = await run(home, [
      'sight',
      '--list',
      '--at',
      '2026-12-01T03:09:00Z',
      ...place,
      ...more,
      '--json',
    ]);
    return (JSON.parse(stdout) as { stars: { star: string; sigmaAfterTwoArcmin: number }[] }).stars;
  };
  const [plain, after] = [await list(), await list('--from', file)];
  const names = taken.map(({ seen }) => seen.star.name);
  expect(
    plain.some(({ star }) => names.includes(star)),
    `${names.join()} of ${plain.map(({ star }) => star).join()}`,
  ).toBe(true);
  for (const name of names) expect(after.map(({ star }) => star)).not.toContain(name);
  expect(after[0].sigmaAfterTwoArcmin).toBeLessThan(0.6 * plain[0].sigmaAfterTwoArcmin);
});
