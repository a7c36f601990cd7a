import { appendFileSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { answerOf, type AxisEstimate } from '../../calibration/answer.ts';
import { arcminute } from '../../calibration/angle.ts';
import type { NightEntry } from '../../host/night/nightEntry.ts';
import { estimatesOf } from '../../host/night/nightEstimates.ts';
import { keepEstimate, keepInNight, laterNights, loadNight, nightOf } from '../../host/night/nightFile.ts';

let home: string;
beforeEach(() => {
  home = mkdtempSync(join(tmpdir(), 'lodepole-night-'));
  process.env.LODEPOLE_HOME = home;
});
afterEach(() => {
  delete process.env.LODEPOLE_HOME;
  rmSync(home, { recursive: true });
});

const evening = Date.UTC(2026, 11, 1, 20);
const made = (kind: AxisEstimate['kind'], minutes: number, azimuth: number, sigma: number): AxisEstimate => {
  const variance = (sigma * arcminute) ** 2;
  return {
    kind,
    utcMs: evening + minutes * 60_000,
    altitudeErrorRad: arcminute,
    azimuthErrorRad: azimuth * arcminute,
    axisCovariance: [variance, 0.3 * variance, 0.3 * variance, variance],
  };
};

describe('the log of the night', () => {
  it('keeps measurements and nudges, and gives one answer of them', async () => {
    await keepEstimate(made('compass', 0, 40, 24));
    await keepEstimate(made('sights', 30, 20, 3), { restsOnCompass: true });
    await keepInNight({
      kind: 'nudge',
      timeUtc: new Date(evening + 40 * 60_000).toISOString(),
      altitudeShiftDeg: 0,
      azimuthShiftDeg: -20 / 60,
    });
    await keepEstimate(made('drift', 60, 1, 1));
    const estimates = estimatesOf((await loadNight(new Date(evening + 3_600_000))).entries);
    expect(estimates.map(({ kind }) => kind)).toEqual(['sights', 'drift']);
    expect(estimates[0].movedSince?.azimuthRad).toBeCloseTo(-20 * arcminute, 9);
    const answer = answerOf(estimates, 0.7, evening + 3_600_000);
    expect(answer.azimuthErrorRad / arcminute).toBeCloseTo(0.9, 0);
    expect(answer.agreement).toBeGreaterThan(0.5);
  });

  const nights = 'nights';
  const fileOf = (utcMs: number): string => join(home, nights, `${nightOf(utcMs)}.jsonl`);
  const linesOf = (utcMs: number): NightEntry[] =>
    readFileSync(fileOf(utcMs), 'utf8')
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line) as NightEntry);
  const dayMs = 86_400_000;

  it('is one line for each entry, and begins anew with the next night while the one before stays', async () => {
    await keepEstimate(made('sights', 0, 20, 3));
    await keepEstimate(made('drift', 7, 9, 2));
    await keepEstimate(made('sights', 24 * 60, 5, 3));
    const tonight = await loadNight(new Date(evening + 25 * 3_600_000));
    expect(tonight.entries.map(({ kind }) => kind)).toEqual(['sights']);
    expect(tonight.cautions).toEqual([]);
    expect(linesOf(evening)).toMatchObject([
      { schema: 1, kind: 'sights' },
      { schema: 1, kind: 'drift' },
    ]);
    expect(linesOf(evening + dayMs)).toHaveLength(1);
  });

  it('keeps entries of a clock that is wrong by years under their night, says so, and counts none of them', async () => {
    const now = new Date(evening + 60 * 60_000);
    const kept = ['sights', 'sun', 'drift'] as const;
    for (const [i, kind] of kept.entries()) {
      expect(await keepEstimate(made(kind, i, 20, 3), {}, now)).toMatch(/Saved in the log of tonight/);
    }
    for (const years of [-10, -1, 1, 10]) {
      const utcMs = evening + years * 365.25 * dayMs;
      const told = await keepEstimate({ ...made('drift', 0, -50, 1), utcMs }, {}, now);
      expect(told).toContain(`Saved under the night of ${nightOf(utcMs)}. It does not count tonight`);
      expect(linesOf(utcMs)).toHaveLength(1);
    }
    const { entries } = await loadNight(now);
    expect(entries.map(({ kind }) => kind)).toEqual(kept);
    expect(await laterNights(now)).toEqual([1, 10].map((years) => nightOf(evening + years * 365.25 * dayMs)));
  });

  it('counts what is dated some hours ahead of the clock only when its time has come, and says so', async () => {
    await keepEstimate(made('sights', 0, 20, 3));
    await keepEstimate(made('drift', 100, 1, 1));
    const { entries, cautions } = await loadNight(new Date(evening + 3_600_000));
    expect(entries.map(({ kind }) => kind)).toEqual(['sights']);
    expect(cautions.join()).toMatch(/One entry in .*\.jsonl is dated later than the clock shows/);
    expect((await loadNight(new Date(evening + 2 * 3_600_000))).entries).toHaveLength(2);
  });

  it('loses a torn line only, wherever it stands, and says which file', async () => {
    await keepEstimate(made('sights', 0, 20, 3));
    const [whole] = readFileSync(fileOf(evening), 'utf8').split('\n');
    appendFileSync(fileOf(evening), whole.slice(0, 60));
    const atEnd = await loadNight(new Date(evening));
    expect(atEnd.entries).toHaveLength(1);
    expect(atEnd.cautions).toEqual([
      `One entry in ${fileOf(evening)} is damaged. It stays in the file and does not count.`,
    ]);
    await keepEstimate(made('drift', 7, 9, 2));
    const { entries, cautions } = await loadNight(new Date(evening + 600_000));
    expect(entries.map(({ kind }) => kind)).toEqual(['sights', 'drift']);
    expect(cautions).toEqual(atEnd.cautions);
    expect(readFileSync(fileOf(evening), 'utf8').split('\n')[1]).toBe(whole.slice(0, 60));
  });

  it('passes over kinds, keys and schemas of a newer version, and leaves them in the file', async () => {
    await keepEstimate(made('sights', 0, 20, 3));
    const [whole] = readFileSync(fileOf(evening), 'utf8').split('\n');
    const later = [
      { ...(JSON.parse(whole) as object), kind: 'balance' },
      { ...(JSON.parse(whole) as object), schema: 2 },
      { ...(JSON.parse(whole) as object), kind: 'drift', moonAltitudeDeg: 12 },
    ].map((entry) => `${JSON.stringify(entry)}\n`);
    appendFileSync(fileOf(evening), later.join(''));
    const { entries, cautions } = await loadNight(new Date(evening));
    expect(entries.map(({ kind }) => kind)).toEqual(['sights', 'drift']);
    expect(cautions.join()).toMatch(/2 entries in .* are of a newer version/);
    await keepEstimate(made('sun', 9, 1, 1));
    expect(readFileSync(fileOf(evening), 'utf8')).toContain(later.join(''));
  });

  it('reads the one file of earlier versions, takes it over once and leaves it as it is', async () => {
    const old = [made('sights', 0, 20, 3), made('drift', 20, 9, 2)].map(({ kind }, i) => ({
      kind,
      timeUtc: new Date(evening + i * 60_000).toISOString(),
      altitudeErrorDeg: 0.1,
      azimuthErrorDeg: -0.4,
      sigmaAltitudeErrorDeg: 0.02,
      sigmaAzimuthErrorDeg: 0.05,
      correlation: 0.2,
    }));
    const before = { ...old[0], timeUtc: new Date(evening - 3 * dayMs).toISOString() };
    const files = {
      'night.json': { schema: 1, entries: old },
      'night.json.old': { schema: 1, entries: [before, old[0]] },
    };
    for (const [name, file] of Object.entries(files)) writeFileSync(join(home, name), JSON.stringify(file));
    const kindsAt = async (minutes: number): Promise<string[]> =>
      (await loadNight(new Date(evening + minutes * 60_000))).entries.map(({ kind }) => kind);
    expect(await kindsAt(5)).toEqual(['sights', 'drift']);
    expect(existsSync(join(home, nights))).toBe(false);
    await keepEstimate(made('sun', 10, 1, 1));
    await keepEstimate(made('compass', 11, 1, 30));
    expect(await kindsAt(15)).toEqual(['sights', 'drift', 'sun', 'compass']);
    expect(linesOf(evening - 3 * dayMs)).toHaveLength(1);
    for (const [name, file] of Object.entries(files)) {
      expect(readFileSync(join(home, name), 'utf8')).toBe(JSON.stringify(file));
    }
    expect(readdirSync(home).sort()).toEqual(['night.json', 'night.json.old', 'nights']);
  });

  it('says that the file of an earlier version is damaged, and goes on', async () => {
    writeFileSync(join(home, 'night.json'), '{"schema":1,"entries":[{"kind":"sights"}');
    const { entries, cautions } = await loadNight(new Date(evening));
    expect(entries).toEqual([]);
    expect(cautions.join()).toMatch(/night\.json is damaged/);
    await keepEstimate(made('sights', 0, 20, 3));
    expect((await loadNight(new Date(evening))).entries).toHaveLength(1);
  });
});
