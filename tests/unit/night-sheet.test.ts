import { describe, expect, it } from 'vitest';
import { answerOf } from '../../calibration/answer.ts';
import { degree } from '../../calibration/angle.ts';
import type { NightEntry } from '../../host/night/nightEntry.ts';
import { estimatesOf } from '../../host/night/nightEstimates.ts';
import { conclusionOf, nightJson, nightText, type NightAccount } from '../../host/night/nightReport.ts';
import { nightHtml } from '../../host/night/nightSheet.ts';
import { proofWords, rungsOf } from '../../host/night/rungs.ts';

const latitudeRad = 47.25 * degree;
const at = (minutes: number): string => new Date(Date.UTC(2026, 10, 25, 20, minutes)).toISOString();
const entries: NightEntry[] = [
  { kind: 'note', timeUtc: at(0), words: 'Level: the base is level.', step: 'level' },
  {
    kind: 'compass',
    timeUtc: at(5),
    altitudeErrorDeg: 0.1,
    azimuthErrorDeg: 0.8,
    sigmaAltitudeErrorDeg: 0.05,
    sigmaAzimuthErrorDeg: 0.45,
    correlation: 0,
  },
  { kind: 'nudge', timeUtc: at(9), altitudeShiftDeg: -0.09, azimuthShiftDeg: -0.6 },
  {
    kind: 'drift',
    timeUtc: at(40),
    altitudeErrorDeg: 0.02,
    azimuthErrorDeg: -0.05,
    sigmaAltitudeErrorDeg: 0.008,
    sigmaAzimuthErrorDeg: 0.013,
    correlation: 0.2,
    words: 'Two stars <b>',
  },
  { kind: 'nudge', timeUtc: at(48), altitudeShiftDeg: -0.03, azimuthShiftDeg: 0.01, by: 'locking' },
];
const account = (upTo = entries.length): NightAccount => {
  const shown = entries.slice(0, upTo);
  const estimates = estimatesOf(shown);
  const nowMs = Date.parse(at(50));
  return {
    place: 'Ridge, 47°15′ N',
    plan: '40 minutes in a field of 50′',
    entries: shown,
    latitudeRad,
    ...(estimates.length > 0 && { answer: answerOf(estimates, latitudeRad, nowMs) }),
  };
};

describe('rungs', () => {
  it('are the answer after each measurement and move, each by its name', () => {
    const rungs = rungsOf(entries, latitudeRad);
    expect(rungs.map(({ name }) => name)).toEqual(['Compass', 'Nudge', 'Drift', 'Locking']);
    expect(rungs[1].answer.azimuthErrorRad / degree).toBeCloseTo(0.2, 6);
    const [, nudged, drift, locked] = rungs.map(({ answer }) => answer);
    expect(drift.sigmaDistanceRad).toBeLessThan(nudged.sigmaDistanceRad / 10);
    expect((locked.altitudeErrorRad - drift.altitudeErrorRad) / degree).toBeCloseTo(-0.03, 6);
    expect(rungsOf(entries.slice(0, 1), latitudeRad)).toEqual([]);
  });

  it('tell how the last one was proved', () => {
    expect(proofWords(entries)).toBe(
      'proved by the drift of stars at 20:40 UTC, carried over the locking of the bolts',
    );
    expect(proofWords(entries.slice(0, 4))).toBe('proved by the drift of stars at 20:40 UTC');
    expect(proofWords(entries.slice(0, 3))).toBe(
      'proved by the compass alone at 20:05 UTC, carried over a nudge by the needles',
    );
    expect(proofWords(entries.slice(0, 1))).toBe('not proved');
  });
});

describe('the sheet', () => {
  it('ends in plain words: how far, how sure, how proved', () => {
    expect(conclusionOf(account(4))).toMatch(
      /^The axis stands 2\.\d′ from the pole, give or take 1\.\d′ \(19 times in 20\), proved by the drift of stars at 20:40 UTC\.$/,
    );
    expect(nightText(account()).at(-1)).toBe(conclusionOf(account()));
    expect(nightJson(account())).toMatchObject({
      conclusion: conclusionOf(account()),
      plan: '40 minutes in a field of 50′',
    });
    expect(conclusionOf(account(1))).toBe('The axis has not been measured.');
  });

  it('draws needles and rungs with bands, needs nothing from elsewhere, and lets no text become markup', () => {
    const page = nightHtml(account());
    expect(page.match(/<svg /g)).toHaveLength(3);
    expect(page.match(/<rect fill="#ccc"/g)).toHaveLength(2 + 2 * 4);
    expect(page).toContain('Drift 20:40');
    expect(page).toContain('Two stars &lt;b&gt;');
    expect(page).not.toMatch(/https?:|<script|NaN|undefined|Infinity/);
    expect(page.trimEnd().split('\n').at(-3)).toContain(`<p class="conclusion">${conclusionOf(account())}</p>`);
  });

  it('draws a needle where it stands, and its band twice its sigma wide', () => {
    const page = nightHtml(account(4));
    const altitude = /Altitude, step by step; at the end ([-\d.]+) arcminutes, give or take ([\d.]+)/.exec(page)!;
    expect(Math.abs(Number(altitude[1]) - 1.2)).toBeLessThan(0.1);
    expect(Math.abs(Number(altitude[2]) - 2 * 0.008 * 60)).toBeLessThan(0.1);
    const azimuth = /Azimuth, on the sky, step by step; at the end ([-\d.]+) arcminutes, give or take ([\d.]+)/.exec(
      page,
    )!;
    expect(Math.abs(Number(azimuth[1]) + 3 * Math.cos(latitudeRad))).toBeLessThan(0.1);
    expect(Math.abs(Number(azimuth[2]) - 2 * 0.013 * 60 * Math.cos(latitudeRad))).toBeLessThan(0.1);
  });

  it('is whole before anything was measured', () => {
    expect(nightHtml(account(1))).toContain('The axis has not been measured.');
    expect(nightHtml(account(1))).not.toContain('<svg');
  });
});
