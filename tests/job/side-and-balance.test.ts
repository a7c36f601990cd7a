import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { cautions } from '../../host/words/cautions.ts';
import { runHere } from './inProcess.ts';
import type { Ran } from './lodepole.ts';

let home: string;
beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-'));
});
afterAll(() => rm(home, { recursive: true, force: true }));

const lodepole = (...words: string[]): Promise<Ran> => runHere(home, words);
const json = ({ stdout }: Ran): Record<string, unknown> => {
  const answer = JSON.parse(stdout) as Record<string, unknown>;
  expect(Object.keys(answer)[0]).toBe('schema');
  return answer;
};
const here = ['--lat', '47.25', '--lon', '8.3E', '--at', '2026-11-25T21:30:00Z'];

const rig = {
  schema: 1,
  name: 'Barn',
  travelMm: [-60, 90],
  parts: [
    { name: 'tube', massKg: 5.2, alongMm: 40, outMm: 180 },
    { name: 'camera', massKg: 0.9, alongMm: -330, outMm: 185 },
  ],
  counterweights: [{ massKg: 5, fromMm: 90, toMm: 340 }],
  shaft: { massKg: 1.1, centreMm: 170 },
};
const rigFile = async (changed: object = {}): Promise<string> => {
  const file = join(home, 'rig.json');
  await writeFile(file, JSON.stringify({ ...rig, ...changed }));
  return file;
};

describe('side', () => {
  it('says the side, the counterweight and the time to the meridian', async () => {
    const ran = await lodepole('side', '--star', 'capella', ...here, '--json');
    expect(ran.code).toBe(0);
    const told = json(ran) as Record<string, number>;
    expect(told).toMatchObject({ kind: 'side', name: 'Capella', side: 'west', hidden: false });
    const { hourAngleDeg, counterweightAltitudeDeg } = told;
    const sine = Math.cos((47.25 * Math.PI) / 180) * Math.sin((hourAngleDeg * Math.PI) / 180);
    expect(counterweightAltitudeDeg).toBeCloseTo((Math.asin(sine) * 180) / Math.PI, 4);
    expect(told.minutesToMeridian).toBeCloseTo(-hourAngleDeg * 3.98891, 1);
    expect(told.minutesToFlip).toBeCloseTo(told.minutesToMeridian, 1);
    const byPlace = json(await lodepole('side', '--ra', '5h16m41.4s', '--dec', '45d59\'53"', ...here, '--json'));
    expect(byPlace.hourAngleDeg).toBeCloseTo(hourAngleDeg, 1);
  });

  it('goes by a horizon that is given, and says so of a direction as of a star', async () => {
    const [star, place] = [
      ['--star', 'capella'],
      ['--ra', '5h16m41.4s', '--dec', '45d59\'53"'],
    ];
    // Capella stands 61 degrees up in azimuth 74 then
    expect(json(await lodepole('side', ...star, ...here, '--horizon', '60-90:70', '--json'))).toMatchObject({
      hidden: true,
      clear: [{ fromUtc: expect.stringMatching(/^2026-11-25T2[23]:/) }],
    });
    expect(json(await lodepole('side', ...star, ...here, '--horizon', '60-90:55', '--json')).hidden).toBe(false);
    expect((await lodepole('side', ...place, ...here)).stdout).toContain('west of the mount for this direction, ');
    expect((await lodepole('side', ...star, ...here, '--horizon', '60:70')).code).toBe(64);
  });

  it('lists what can be seen, warns of the Sun, and refuses what is not clear', async () => {
    const { targets } = json(await lodepole('side', '--list', ...here, '--json')) as { targets: { side: string }[] };
    expect(new Set(targets.map((target) => target.side))).toEqual(new Set(['west', 'east']));
    const noon = ['--lat', '47.25', '--lon', '8.3E', '--at', '2026-11-25T11:00:00Z'];
    const sun = await lodepole('side', '--star', 'sun', ...noon);
    expect(sun.stderr).toContain('Never look at or near the Sun');
    expect(sun.stdout).not.toContain('Put the tube');
    const vega = await lodepole('side', '--star', 'vega', ...noon);
    expect(vega.stderr).toMatch(/^Caution: Never look at or near the Sun/);
    expect(vega.stdout).toMatch(/^Do not take Vega now\. The Sun is up.* Take Vega from 2026-11-25 16:\d\d UTC on\.\n/);
    expect(vega.stdout).not.toContain('Put the tube');
    expect(json(await lodepole('side', '--star', 'vega', ...noon, '--json'))).toMatchObject({
      reason: expect.stringContaining('The Sun is up'),
      side: 'west',
    });
    // at 47 degrees north, of declination -52.7: it never rises
    const canopus = await lodepole('side', '--star', 'canopus', ...noon);
    expect(canopus.stdout).toMatch(
      /Canopus does not rise 12° high here\. Take [A-Z].* from 2026-11-25 16:\d\d UTC on\n? ?instead/,
    );
    expect(json(await lodepole('side', '--star', 'canopus', ...noon, '--json'))).toMatchObject({
      reason: expect.stringMatching(/Canopus does not rise 12° high here\. Take .* instead\.$/),
      clear: [],
    });
    const day = json(await lodepole('side', '--list', ...noon, '--json'));
    expect(day).toMatchObject({ targets: [], darkFrom: expect.stringMatching(/^2026-11-25T16:/) });
    expect(day.reason).toContain('The Sun is up');
    for (const words of [[], ['--star', 'vega', '--dec', '3d'], ['--star', 'vega', '--allow', 'much']])
      expect((await lodepole('side', ...words, ...here)).code).toBe(64);
  });
});

describe('balance', () => {
  it('finds both places out of a file, keeps the rig, and finds it by name', async () => {
    const ran = await lodepole('balance', '--rig', await rigFile(), '--keep', '--json');
    expect(ran.code).toBe(0);
    const answer = json(ran);
    expect(answer).toMatchObject({ accepted: true, reason: '', dovetailShiftMm: 14.59, counterweightAtMm: 183.1 });
    expect(json(await lodepole('balance', '--rig', 'barn', '--json'))).toEqual(answer);
    expect((await lodepole('balance', '--list')).stdout).toBe('barn\n');
    expect((await lodepole('balance', '--rig', 'barm')).stderr).toContain('Did you mean barn');
  });

  it('shows its cautions before anything else', async () => {
    const lines = (await lodepole('balance', '--rig', await rigFile())).stdout.split('\n');
    expect(lines[0]).toBe(`Caution: ${cautions.clutch}`);
    expect(lines.at(-2)).toBe('Mark both places with tape.');
  });

  it('refuses a shaft that is too short with exit code 1, and a rig that cannot be with 65', async () => {
    const short = await lodepole(
      'balance',
      '--rig',
      await rigFile({ counterweights: [{ massKg: 2, fromMm: 90, toMm: 200 }] }),
      '--json',
    );
    expect(short.code).toBe(1);
    // 0.9155 kg m hang on 2 kg at 200 mm: 0.5155 kg m are missing, at 200 mm 2.5775 kg
    expect(json(short)).toMatchObject({
      accepted: false,
      counterweightAtMm: 457.75,
      counterweightCure: { massKg: 2.578, atMm: 200, longerMm: 257.75 },
    });
    const fixed = await lodepole(
      'balance',
      '--rig',
      await rigFile({ travelMm: [-60, 5], counterweights: [{ massKg: 5, fromMm: 183.1, toMm: 183.1 }] }),
      '--json',
    );
    // the tube's -0.089 kg m and 6.1 kg slid by 5 mm leave 0.0585 kg m, at the 305 mm of an end that nobody told 0.1918 kg
    expect(json(fixed)).toMatchObject({
      counterweightPlacesMm: [183.1],
      rightAscensionMomentAfterNm: 0,
      tubeCure: { massKg: 0.192, alongMm: 300, end: 'sky', isAssumed: true },
    });
    for (const massKg of [0, -2, 5000]) {
      const bad = await lodepole('balance', '--rig', await rigFile({ parts: [{ ...rig.parts[0], massKg }] }), '--json');
      expect(bad.code).toBe(65);
      expect(bad.stderr).toContain('cannot be used: parts.0.massKg is not valid: ');
      expect(bad.stderr).toContain(massKg > 0 ? 'give kilograms' : 'a mass must be above zero');
    }
    expect((await lodepole('balance')).code).toBe(64);
    expect((await lodepole('balance', '--rig', join(home, 'none.json'))).code).toBe(74);
  });

  it('finds a mass that is not known from two settings, and asks for it before', async () => {
    const file = await rigFile({ parts: [rig.parts[0], { ...rig.parts[1], massKg: null }] });
    const asked = await lodepole('balance', '--rig', file);
    expect(asked.code).toBe(65);
    expect(asked.stderr).toContain('--weigh "camera"');
    const settings = ['--weigh', 'camera', '--weights-without', '149.8', '--weights-with', '183.1'];
    const { weighed, sigmaCounterweightAtMm } = json(
      await lodepole('balance', '--rig', file, ...settings, '--json'),
    ) as {
      weighed: object;
      sigmaCounterweightAtMm: number;
    };
    expect(weighed).toEqual({ part: 'camera', massKg: 0.9, sigmaMassKg: 0.0382 });
    expect(sigmaCounterweightAtMm).toBeCloseTo(Math.SQRT2, 1);
    const turned = ['--weigh', 'camera', '--weights-without', '183.1', '--weights-with', '149.8'];
    expect((await lodepole('balance', '--rig', file, ...turned)).code).toBe(1);
  });
});
