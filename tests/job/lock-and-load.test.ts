import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { loadNight } from '../../host/night/nightFile.ts';
import { runHere } from './inProcess.ts';
import { runOnBoard, type Ran } from './lodepole.ts';

let home: string;
beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-'));
});
afterAll(() => rm(home, { recursive: true, force: true }));

const lodepole = (...words: string[]): Promise<Ran> => runHere(home, words);
const json = ({ stdout }: Ran): Record<string, number> => JSON.parse(stdout) as Record<string, number>;
/** Rigel then stands in azimuth 173 and 35 degrees high: nearly on the meridian, where each bolt moves it along one direction. */
const rigel = ['--star', 'rigel', '--lat', '46.43', '--lon', '118.6W', '--at', '2026-11-26T08:00:00Z'];

describe('what locking and loads do, read on a star', () => {
  it('is remembered for the mount and the load by its name, and offered before it goes on', async () => {
    const none = await lodepole('load', '--name', 'refractor', '--ahead', ...rigel.slice(2, 6));
    expect(none.stdout).toBe('What refractor does to this mount has not been measured yet.\n');
    for (const north of [-3, -3.6, -3.3]) {
      const told = await lodepole(
        'load',
        '--name',
        'refractor',
        ...rigel,
        `--read=${north},0`,
        '--division',
        '60',
        '--json',
      );
      expect(told.code).toBe(0);
      // the axis sank by what the star went south: on the meridian altitude counts whole
      expect(json(told).altitudeShiftArcmin).toBeCloseTo(north, 0);
      expect(told.stderr).toContain('take them off last');
    }
    const ahead = json(await lodepole('load', '--name', 'Refractor', '--ahead', ...rigel.slice(2, 6), '--json'));
    expect(ahead).toMatchObject({ kind: 'load', load: 'Refractor', times: 3 });
    expect(ahead.standOffAltitudeArcmin).toBeCloseTo(-ahead.usualAltitudeShiftArcmin, 9);
    expect(ahead.standOffAltitudeArcmin).toBeGreaterThan(2.5);
    expect(ahead.scatterAltitudeArcmin).toBeLessThan(5 / 3);
    expect((await lodepole('load', '--list')).stdout).toBe('refractor\n');
    expect(json(await lodepole('load', '--name', 'reflector', '--ahead', ...rigel.slice(2, 6), '--json')).times).toBe(
      0,
    );
    expect(json(await lodepole('lock', '--ahead', ...rigel.slice(2, 6), '--json')).times).toBe(0);
  });

  it('goes into the log of tonight as what it was', async () => {
    const locked = await lodepole('lock', ...rigel, '--read=2,-1.5', '--field', '40');
    expect(locked.code).toBe(0);
    expect(locked.stdout).toMatch(/^Locking.* Measured on Rigel in the eyepiece\.\n/);
    process.env.LODEPOLE_HOME = home;
    const { entries } = await loadNight();
    expect(entries.map((entry) => entry.kind === 'nudge' && entry.by)).toEqual(['load', 'load', 'load', 'locking']);
    expect(entries.at(-1)).toMatchObject({ sigmaAltitudeShiftDeg: expect.any(Number) as number });
  });

  it('is read on an axis that is far off, too: nothing is to be brought home', async () => {
    const far = join(home, 'far');
    const timeUtc = new Date(Date.now() - 600_000).toISOString();
    const axis = {
      altitudeErrorDeg: 2.9,
      azimuthErrorDeg: -1.7,
      sigmaAltitudeErrorDeg: 0.05,
      sigmaAzimuthErrorDeg: 0.07,
    };
    await mkdir(far);
    const entries = [{ kind: 'sights', timeUtc, ...axis, correlation: 0 }];
    await writeFile(join(far, 'night.json'), JSON.stringify({ schema: 1, entries }));
    // all the way home takes more steps in this field than a nudge may
    expect((await runHere(far, ['nudge', ...rigel, '--field', '30'])).code).toBe(1);
    const locked = await runHere(far, ['lock', ...rigel, '--read=2,-1.5', '--field', '30', '--json']);
    expect(locked.code).toBe(0);
    expect(json(locked).altitudeShiftArcmin).toBeCloseTo(2, 0);
  });

  it('refuses a star that tells nothing, and half of what it needs', async () => {
    const polaris = await lodepole('lock', '--star', 'polaris', ...rigel.slice(2), '--read=1,1');
    expect(polaris.code).toBe(1);
    expect(polaris.stderr).toContain('too near the pole');
    expect((await lodepole('lock', ...rigel)).code).toBe(64);
    expect((await lodepole('load', '--name', 'a/b', ...rigel, '--read=1,1')).code).toBe(64);
  });
});

it('is measured by the board at rest before and after, and of a virtual mount not remembered', async () => {
  const told = await runOnBoard(home, ['load', '--virtual', 'woolshed', '--seed', '2', '--json']);
  expect(told.code).toBe(0);
  const shift = json(told);
  expect(shift).toMatchObject({ schema: 1, kind: 'load', load: 'instrument', times: 1 });
  expect(Math.abs(shift.altitudeShiftArcmin)).toBeLessThan(20);
  expect(shift.sigmaAltitudeShiftArcmin).toBeLessThan(3);
  expect((await lodepole('load', '--list')).stdout).toBe('refractor\n');
});
