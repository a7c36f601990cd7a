import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { run, type Ran } from './lodepole.ts';

let home: string;
beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-'));
});
afterAll(() => rm(home, { recursive: true, force: true }));

const nudge = (...words: string[]): Promise<Ran> => run(home, ['nudge', ...words]);
const json = ({ stdout }: Ran): Record<string, unknown> => {
  const answer = JSON.parse(stdout) as Record<string, unknown>;
  expect(Object.keys(answer)[0]).toBe('schema');
  return answer;
};

const night = ['--at', '2026-08-14T22:20:00Z', '--lat', '51.4779', '--lon', '-0.0015'];
const off = ['--altitude-error', '12', '--azimuth-error', '-30'];

describe('nudge on a star', () => {
  it('tells where the star comes to stand, by both bolts and by each alone', async () => {
    const ran = await nudge('--star', 'altair', ...night, ...off, '--json');
    expect(ran.code).toBe(0);
    const told = json(ran);
    // The star is due south (ERFA: azimuth 180.47, 47.48 high): an axis 12' too high leaves it 12' south when it is lowered, and
    // an axis 30' too far west leaves it 30' cos 47.48 = 20.3' east; the rest is the curvature of both turns.
    expect(told.northArcmin).toBeCloseTo(-12.16, 1);
    expect(told.eastArcmin).toBeCloseTo(20.27, 1);
    expect(told.byAltitudeBolt).toMatchObject({
      northArcmin: expect.closeTo(-12, 1),
      eastArcmin: expect.closeTo(0, 0),
    });
    expect(told.byAzimuthBolt).toMatchObject({ eastArcmin: expect.closeTo(20.27, 0) });
    expect(told.shiftArcmin).toBeCloseTo(Math.hypot(told.northArcmin as number, told.eastArcmin as number), 3);
    expect(told.sigmaShiftArcmin).toBeGreaterThan(0);
    expect(told.steps).toHaveLength(1);
  });

  it('splits a way that leaves the field, and refuses what no field takes', async () => {
    const split = json(await nudge('--star', 'altair', ...night, ...off, '--field', '40', '--json'));
    expect(split.steps).toHaveLength(2);
    expect(split.accepted).toBe(true);
    const far = await nudge('--star', 'altair', ...night, '--altitude-error', '400', '--azimuth-error', '0', '--json');
    expect(far.code).toBe(1);
    expect(json(far).reason).toContain('too far from the pole');
  });

  it.each([
    ['polaris', '2026-08-14T22:20:00Z', 'too near the pole'],
    ['vega', '2026-08-14T21:03:00Z', 'hardly|zenith|same way'],
    ['sirius', '2026-08-14T22:20:00Z', 'below the horizon'],
    ['altair', '2026-08-14T12:00:00Z', 'Sun is up'],
    ['alkaid', '2026-01-20T21:00:00Z', 'pole of the Earth'],
  ])('refuses %s at %s', async (star, at, why) => {
    const latitude = { vega: '38.8', alkaid: '89.9' }[star];
    const place = latitude === undefined ? night.slice(2) : ['--lat', latitude, '--lon', '-0.0015'];
    const ran = await nudge('--star', star, '--at', at, ...place, ...off, '--json');
    expect(ran.code).toBe(1);
    const told = json(ran);
    expect(told.accepted).toBe(false);
    expect(told.reason).toMatch(new RegExp(why));
  });

  it('says the caution of the Sun first, and by day names no star but the time when one may be taken', async () => {
    const noon = ['--at', '2026-08-14T12:00:00Z', ...night.slice(2), ...off];
    const listed = await nudge('--list', ...noon, '--json');
    expect(listed.stderr).toMatch(/^Caution: Never look at or near the Sun/);
    expect(json(listed)).toMatchObject({
      stars: [],
      reason: expect.stringMatching(/The Sun is up.* from 2026-08-14 \d\d:\d\d UTC on/),
      darkFrom: expect.stringMatching(/^2026-08-14T(19|20):/),
    });
    expect(json(listed).sunAltitudeDeg).toBeGreaterThan(40);
    const unnamed = await nudge(...noon);
    expect(unnamed.code).toBe(1);
    expect(unnamed.stderr).toMatch(
      /No listed star .* The Sun is up.*\n?.*Take stars of the first magnitude from 2026-08-14/,
    );
    expect((await nudge('--list', ...noon)).stdout).toMatch(/The Sun is up/);
    // Spica, of declination -11.2 and 13.4 h, stands beside the Sun of August, 9.6 h, in the evening: too low when it is dark
    const spica = await nudge('--star', 'spica', ...noon, '--json');
    expect(spica.code).toBe(1);
    expect(json(spica)).toMatchObject({
      accepted: false,
      reason: expect.stringMatching(
        /^Do not take Spica now\. The Sun is up.* Spica stands 12° high only by day\. Take .* UTC on instead\.$/,
      ),
    });
  });

  it('refuses without an answer of tonight, goes on from it, and keeps what was read', async () => {
    const none = await nudge('--star', 'altair', ...night);
    expect(none.code).toBe(1);
    expect(none.stderr).toContain('no answer for tonight');
    await run(home, ['site', '--lat', '51.4779', '--lon', '-0.0015', '--save']);
    const read = await nudge(
      ...['--star', 'altair', ...night, ...off, '--field', '60', '--read=-12.16,20.27', '--json'],
    );
    expect(read.code).toBe(0);
    const kept = json(read);
    expect(kept.altitudeErrorArcmin).toBeCloseTo(0, 0);
    expect(kept.azimuthErrorArcmin).toBeCloseTo(0, 0);
    expect(kept.sigmaAltitudeShiftArcmin).toBeGreaterThan(1);
  });
});
