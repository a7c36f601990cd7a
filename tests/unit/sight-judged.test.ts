// What is made of sights that do not fit together, against Bayes' rule over all slips, written out with dense matrices.
import { Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { arcminute, degree, wrapPi } from '../../calibration/angle.ts';
import { chanceOfChiSquared } from '../../calibration/chance.ts';
import { adjustSights, type SightAdjustment } from '../../calibration/sight/adjustSights.ts';
import { judgeSights, lookAlikes } from '../../calibration/sight/culprit.ts';
import { predictedRoll, unknownCount, type Sight } from '../../calibration/sight/sightModel.ts';
import { starNed } from '../../firmware-proto/virtual/eyepiece.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { prior, sightsAt } from './sightSets.ts';

const latitudeRad = 47 * degree;
const good = sightsAt(latitudeRad);
const turned = (sight: Sight): Sight => ({ ...sight, side: sight.side === 'east' ? 'west' : 'east' });
const star = (hourAngle: number, declination: number): Vector3 =>
  starNed(latitudeRad, { hourAngleRad: hourAngle * degree, declinationRad: declination * degree });
const offBy = (sights: readonly Sight[], index: number, offRad: number): Sight[] =>
  sights.with(index, { ...sights[index], rollRad: sights[index].rollRad + offRad });

/** Roll that a fit expects of a sight, and the standard deviation of what will be read. */
function expectedOf(fit: SightAdjustment, sight: Sight): { rollRad: number; sigmaRad: number } {
  const at = [...fit.estimate];
  const rollRad = predictedRoll(sight, latitudeRad, at);
  const step = 1e-6;
  const slope = at.map((_, j) => {
    const [more, less] = [step, -step].map((by) => predictedRoll(sight, latitudeRad, at.with(j, at[j] + by)));
    return (more - less) / (2 * step);
  });
  const row = Matrix.rowVector(slope);
  const known = Matrix.from1DArray(unknownCount, unknownCount, [...fit.covariance]);
  return { rollRad, sigmaRad: Math.sqrt(row.mmul(known).mmul(row.transpose()).get(0, 0) + sight.sigmaRad ** 2) };
}

const normalDensity = (x: number, sigma: number): number =>
  Math.exp(-(x * x) / (2 * sigma * sigma)) / (sigma * Math.sqrt(2 * Math.PI));

/** A wrong star is one time in ten no star of the list, else any of the others. */
function wrongStarDensity(fit: SightAdjustment, sight: Sight, others: readonly Vector3[]): number {
  if (others.length === 0) return 1 / (2 * Math.PI);
  const each = others.map((other) => {
    const { rollRad, sigmaRad } = expectedOf(fit, { ...sight, starNed: other });
    return normalDensity(wrapPi(sight.rollRad - rollRad), sigmaRad);
  });
  return 0.1 / (2 * Math.PI) + (0.9 * each.reduce((sum, one) => sum + one, 0)) / others.length;
}

interface Told {
  kind: string;
  index: number;
  fit: SightAdjustment;
  probability: number;
}

/** What happened, by Bayes' rule: a star is misnamed 3 times, taken on the other side twice, the tripod moved once in a hundred. */
function byBayes(sights: readonly Sight[], others: readonly Vector3[]) {
  const chance = (fit: SightAdjustment) => chanceOfChiSquared(fit.chiSquared, fit.degreesOfFreedom);
  const fit = adjustSights(sights, latitudeRad, prior);
  const rolls = sights.map((sight) => ({ ...sight, level: undefined }));
  const isGood = chance(fit) > 0.002 && chance(adjustSights(rolls, latitudeRad, prior)) > 0.002;
  if (isGood) return { kind: 'consistent', azimuthErrorRad: fit.azimuthErrorRad };
  const all: Told[] = sights.flatMap((sight, index) => {
    const side = adjustSights(sights.with(index, turned(sight)), latitudeRad, prior);
    const found: Told[] = [{ kind: 'wrong side', index, fit: side, probability: 2 * Math.exp(-side.surprise / 2) }];
    if (index > 0) {
      const moved = adjustSights(sights, latitudeRad, prior, { movedFrom: index });
      found.push({ kind: 'moved', index, fit: moved, probability: Math.exp(-moved.surprise / 2) });
    }
    if (sights.length > 2) {
      const without = adjustSights(sights, latitudeRad, prior, { leftOut: index });
      const probability = 3 * Math.exp(-without.surprise / 2) * wrongStarDensity(without, sight, others);
      found.push({ kind: 'misnamed', index, fit: without, probability });
    }
    return found;
  });
  const whole = all.reduce((sum, { probability }) => sum + probability, 0);
  // one sight out of line is one story, whatever it was; a tripod that moved is another, whenever it was
  const storyOf = ({ kind, index }: Told): string => (kind === 'moved' ? kind : `sight ${index}`);
  const shares = new Map<string, number>();
  for (const one of all) shares.set(storyOf(one), (shares.get(storyOf(one)) ?? 0) + one.probability / whole);
  const ranked = all.toSorted((one, other) => other.probability - one.probability);
  const [best] = ranked;
  if (chance(best.fit) >= 0.002 && shares.get(storyOf(best))! >= 0.9) {
    const { kind, index } = best;
    const wrong = sights[index];
    const offByRad = wrapPi(wrong.rollRad - predictedRoll(wrong, latitudeRad, best.fit.estimate));
    const { azimuthErrorRad } = best.fit;
    return kind === 'misnamed' ? { kind, index, offByRad, azimuthErrorRad } : { kind, index, azimuthErrorRad };
  }
  const firsts = ranked.filter((one, i) => ranked.findIndex((other) => storyOf(other) === storyOf(one)) === i);
  const told = [...firsts.slice(0, 2), ...firsts.slice(2).filter((one) => shares.get(storyOf(one))! > 0.05)];
  return { kind: 'unclear', candidates: told.slice(0, 3).map(({ kind, index }) => ({ kind, index })) };
}

/** The same from the program. */
function judged(sights: readonly Sight[], others: readonly Vector3[]) {
  const verdict = judgeSights(sights, latitudeRad, prior, () => others);
  if (verdict.kind === 'unclear') return verdict;
  const { fit, ...rest } = verdict;
  return { ...rest, azimuthErrorRad: fit.azimuthErrorRad };
}

const others = [star(-40, 8), star(22, 30), star(60, -5)];

function expectSame(sights: readonly Sight[], among: readonly Vector3[]): string {
  const [own, bayes] = [judged(sights, among), byBayes(sights, among)];
  expect(own).toEqual({
    ...bayes,
    ...('azimuthErrorRad' in bayes && { azimuthErrorRad: expect.closeTo(bayes.azimuthErrorRad ?? NaN, 9) }),
    ...('offByRad' in bayes && { offByRad: expect.closeTo(bayes.offByRad ?? NaN, 9) }),
  });
  return own.kind;
}

describe('sights', () => {
  it('that fit are taken as they are', () => {
    expect(expectSame(good, others)).toBe('consistent');
    expect(expectSame(good.slice(0, 1), [])).toBe('consistent');
  });

  it('one of which is off are judged by how far', () => {
    const kinds = [0.2, 0.5, 0.7, 1, 2, 40].map((deg) => expectSame(offBy(good, 3, deg * degree), []));
    expect(kinds[0]).toBe('consistent');
    expect(kinds.at(-1)).toBe('misnamed');
  });

  it('off by a little are hidden by no level in good order', () => {
    for (const arcminutes of [-45, -38, -32, 26, 32, 38, 45]) expectSame(offBy(good, 0, arcminutes * arcminute), []);
  });

  it('of a star of the list are told by their roll', () => {
    const kinds = others.map((other, i) => {
      const index = [3, 1, 4][i];
      const { rollRad } = expectedOf(adjustSights(good, latitudeRad, prior), { ...good[index], starNed: other });
      return expectSame(good.with(index, { ...good[index], rollRad: rollRad + 4 * arcminute }), others);
    });
    expect(kinds).toContain('misnamed');
  });

  it('on the wrong side are told from others', () => {
    const kinds = good.map((sight, i) => expectSame(good.with(i, turned(sight)), others));
    expect(kinds).toContain('wrong side');
    for (const count of [1, 2, 3]) expectSame(good.slice(0, count).with(0, turned(good[0])), others);
  });

  it('before and after a tripod was moved are told from others', () => {
    const moved = (from: number, deg: number): Sight[] =>
      good.map((sight, i) => {
        const moved = { altitudeRad: 0.6 * deg * degree, azimuthRad: deg * degree };
        const before = { starNed: sight.starNed, side: sight.side };
        const estimate = adjustSights(good, latitudeRad, prior).estimate;
        const change =
          predictedRoll({ ...before, moved }, latitudeRad, estimate) - predictedRoll(before, latitudeRad, estimate);
        const level = sight.level && { ...sight.level, altitudeRad: sight.level.altitudeRad + 0.6 * deg * degree };
        return i < from ? sight : { ...sight, rollRad: sight.rollRad + change, level };
      });
    const kinds = [
      [3, 0.4],
      [2, 0.9],
      [3, 1.6],
      [1, 1.3],
      [4, 2],
    ].map(([from, deg]) => expectSame(moved(from, deg), []));
    expect(kinds).toContain('moved');
  });

  it.each([1, 2, 3, 4])('with several slips at random are judged by Bayes, draw %d', (seed) => {
    const random = new Random(seed);
    for (let i = 0; i < 10; i += 1) {
      const scatter = [2, 8, 25][i % 3] * arcminute;
      const sights = good
        .slice(0, 2 + (i % 4))
        .map((sight) => ({ ...sight, rollRad: sight.rollRad + scatter * random.normal() }));
      expectSame(sights, i % 2 ? others : []);
    }
  });

  it('are refused where there is none, or one without a number', () => {
    expect(() => judgeSights([], latitudeRad, prior)).toThrow('no sight');
    expect(() => judgeSights(offBy(good, 2, NaN), latitudeRad, prior)).toThrow('not a number');
    expect(() => judgeSights([{ ...good[0], starNed: undefined as never }], latitudeRad, prior)).toThrow(TypeError);
  });

  it('of which nothing can be made are unclear', () => {
    expect(judgeSights(good, NaN, prior)).toEqual({ kind: 'unclear', candidates: [] });
    expect(lookAlikes(good, 1, others, NaN, prior)).toEqual([]);
  });
});

describe('stars that would do as well', () => {
  it('are within three sigmas of what the other sights expect, and hardly less likely than its own', () => {
    const index = 1;
    const among = [-3, -1, -0.5, -0.2, 0.1, 0.3, 0.6, 0.9, 1.4, 4].flatMap((deg) => [
      star(35 + deg, -12),
      star(35 + deg / 3, -12 + 2 * deg),
    ]);
    for (const sights of [good, offBy(good, index, 0.3 * degree), good.slice(0, 2)]) {
      const without = adjustSights(sights, latitudeRad, prior, { leftOut: index });
      const own = adjustSights(sights, latitudeRad, prior).surprise;
      const expected = among.flatMap((starNed, i) => {
        const sight = { ...sights[index], starNed };
        const { rollRad, sigmaRad } = expectedOf(without, sight);
        const isNear = Math.abs(wrapPi(sight.rollRad - rollRad)) <= 3 * sigmaRad;
        const swapped = adjustSights(sights.with(index, sight), latitudeRad, prior).surprise;
        return isNear && swapped < own + 4 ? [i] : [];
      });
      expect(expected.length).toBeGreaterThan(0);
      expect(expected.length).toBeLessThan(among.length);
      expect(lookAlikes(sights, index, among, latitudeRad, prior)).toEqual(expected);
    }
  });
});
