import { describe, expect, it } from 'vitest';
import { arcminute } from '../../calibration/angle.ts';
import { judgeSights, sigmasFrom } from '../../calibration/sight/culprit.ts';
import { misnameOne, nightStatistics } from './sightSummary.ts';
import { drawNight, knocked, takeNight } from './sightNights.ts';

describe('nights of sights, pole and a third of the sky hidden (small run; the bench has 1,000 nights)', () => {
  const nights = 200;

  it.each([
    [4, 4],
    [6, 3.2],
  ])('after %d recommended sights the median error is under %f arcminutes, with honest regions', (count, limit) => {
    const { medianArcmin, ratioToBound, within68, within95 } = nightStatistics(nights, count, 'recommended', true);
    expect(medianArcmin).toBeLessThan(limit);
    expect(ratioToBound).toBeLessThan(1.15);
    // Three standard deviations of a fraction of 200: 0.10 and 0.046.
    expect(Math.abs(within68 - 0.68)).toBeLessThan(0.1);
    expect(Math.abs(within95 - 0.95)).toBeLessThan(0.046);
  });

  it('recommended stars do far better than stars at random', () => {
    const recommended = nightStatistics(60, 4, 'recommended', true).medianArcmin;
    expect(nightStatistics(60, 4, 'random', true).medianArcmin).toBeGreaterThan(1.4 * recommended);
  });

  it('works with no magnetometer at all', () => {
    expect(nightStatistics(60, 6, 'recommended', false).medianArcmin).toBeLessThan(4);
  });
});

describe('culprits', () => {
  it('a misnamed star is named in 95 of 100 nights, and never believed without a word', () => {
    let named = 0;
    let falselyNamed = 0;
    const nights = 100;
    for (let seed = 1; seed <= nights; seed += 1) {
      const night = drawNight(seed);
      const { sights, index, truly } = misnameOne(night, takeNight(night, 6, 'recommended'));
      const verdict = judgeSights(sights, night.site.latitudeRad, night.prior);
      if (verdict.kind === 'misnamed') {
        if (verdict.index === index) named += 1;
        else falselyNamed += 1;
      }
      // Two stars with the same roll cannot be told apart: then the other one is offered.
      if (verdict.kind === 'consistent') {
        expect(sigmasFrom(verdict.fit, { ...sights[index], starNed: truly })).toBeLessThan(4);
      }
    }
    expect(named).toBeGreaterThanOrEqual(0.95 * nights);
    expect(falselyNamed).toBe(0);
  });

  it('a wrong side is named, clean nights are believed', () => {
    for (let seed = 1; seed <= 60; seed += 1) {
      const night = drawNight(seed);
      const sights = takeNight(night, 5, 'recommended').map(({ sight }) => sight);
      expect(judgeSights(sights, night.site.latitudeRad, night.prior).kind).toBe('consistent');
      const index = seed % 5;
      const other = sights[index].side === 'west' ? 'east' : 'west';
      const verdict = judgeSights(
        sights.with(index, { ...sights[index], side: other }),
        night.site.latitudeRad,
        night.prior,
      );
      expect(verdict).toMatchObject({ kind: 'wrong side', index });
    }
  });

  it('a tripod knocked by a degree between the third and the fourth sight of six is not believed', () => {
    const kinds: Record<string, number> = {};
    for (let seed = 1; seed <= 60; seed += 1) {
      const night = drawNight(seed);
      const before = takeNight(night, 3, 'recommended').map(({ sight }) => sight);
      const after = takeNight(knocked(night, 60 * arcminute), 3, 'recommended').map(({ sight }) => sight);
      const { kind } = judgeSights([...before, ...after], night.site.latitudeRad, night.prior);
      kinds[kind] = (kinds[kind] ?? 0) + 1;
    }
    // A knock about the axis itself changes nothing, and six sights leave little to tell the rest apart by.
    expect(kinds.consistent ?? 0).toBeLessThanOrEqual(6);
    expect(kinds.moved ?? 0).toBeGreaterThanOrEqual(20);
    expect((kinds.misnamed ?? 0) + (kinds['wrong side'] ?? 0)).toBeLessThanOrEqual(4);
  });
});
