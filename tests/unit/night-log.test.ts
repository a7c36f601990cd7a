import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { answerOf, type AxisEstimate } from '../../calibration/answer.ts';
import { arcminute } from '../../calibration/angle.ts';
import { Failure } from '../../host/failure.ts';
import { estimatesOf, keepEstimate, keepInNight, loadNight } from '../../host/night/nightFile.ts';

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
    const estimates = estimatesOf(await loadNight(new Date(evening + 3_600_000)));
    expect(estimates.map(({ kind }) => kind)).toEqual(['sights', 'drift']);
    expect(estimates[0].movedSince?.azimuthRad).toBeCloseTo(-20 * arcminute, 9);
    const answer = answerOf(estimates, 0.7, evening + 3_600_000);
    expect(answer.azimuthErrorRad / arcminute).toBeCloseTo(0.9, 0);
    expect(answer.agreement).toBeGreaterThan(0.5);
  });

  it('begins anew with the next night and keeps the old file beside it', async () => {
    await keepEstimate(made('sights', 0, 20, 3));
    await keepEstimate(made('sights', 24 * 60, 5, 3));
    expect(await loadNight(new Date(evening + 25 * 3_600_000))).toHaveLength(1);
    expect(readFileSync(join(home, 'night.json.old'), 'utf8')).toContain('2026-12-01');
  });

  it('refuses a damaged file and says where', async () => {
    writeFileSync(join(home, 'night.json'), '{"schema":1,"entries":[{"kind":"sights"}]}');
    await expect(loadNight()).rejects.toThrow(Failure);
  });
});
