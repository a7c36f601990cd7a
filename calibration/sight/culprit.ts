import { wrapPi } from '../angle.ts';
import { chanceOfChiSquared } from '../chance.ts';
import type { Vector3 } from '../vector.ts';
import { adjustSights, type SightAdjustment } from './adjustSights.ts';
import type { SightSlip } from './sightProblem.ts';
import { roughPrior, type SightPrior } from './sightPrior.ts';
import { predictedRoll, unknownCount, type Sight } from './sightModel.ts';

/** What the residuals say about a set of sights. Indices count from 0. */
export type SightVerdict =
  | { kind: 'consistent'; fit: SightAdjustment }
  /** One sight does not fit the others; `fit` is without it. */
  | { kind: 'misnamed'; index: number; offByRad: number; fit: SightAdjustment }
  /** One sight fits when it is taken on the other side; `fit` has it there. */
  | { kind: 'wrong side'; index: number; fit: SightAdjustment }
  /** The axis shifted between the sight before `index` and that one; `fit` gives where it is since. */
  | { kind: 'moved'; index: number; fit: SightAdjustment }
  /** Something is wrong and it cannot be told what; nothing is to be believed. The likeliest first. */
  | { kind: 'unclear'; candidates: readonly Candidate[] };

type Slip = 'wrong side' | 'misnamed' | 'moved';
/** One thing that may have happened; for `moved` the first sight after it. */
export interface Candidate {
  kind: Slip;
  index: number;
}

/** Chance below which neither a set of sights nor an explanation is believed. */
const doubtful = 0.002;
/** An explanation is named when all others together are less likely than this; a candidate is told when it is likelier. */
const clear = 0.1;
const worthTelling = 0.05;

/** How often each slip happens to one sight, before anything is known: common practice. */
const usual: Record<Slip, number> = { 'wrong side': 0.02, misnamed: 0.03, moved: 0.01 };
/** Of sights that fit no name: centred on a star that is in no list, or spoiled by a touch. */
const strayShare = 0.1;

interface Explanation extends Candidate {
  fit: SightAdjustment;
  /** -2 ln of how likely the sights are with it, and it is itself. */
  surprise: number;
}

/** Directions of all other stars that could be seen when the sight of this index was taken. */
export type OtherStars = (index: number) => readonly Vector3[];

const chanceOf = (fit: SightAdjustment): number => chanceOfChiSquared(fit.chiSquared, fit.degreesOfFreedom);
const otherSide = (sight: Sight): Sight => ({ ...sight, side: sight.side === 'west' ? 'east' : 'west' });

const withoutLevel = (sight: Sight): Sight => ({ ...sight, level: undefined });

/** Undefined where a set is so wrong that the adjustment runs away to where nothing is determined. */
function fitOf(sights: readonly Sight[], latitudeRad: number, prior: SightPrior, slip?: SightSlip) {
  try {
    return adjustSights(sights, latitudeRad, prior, slip);
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

/** Density of the roll of a sight of a wrong star, by what the other sights tell: it is one of the other stars, or anything. */
function strayDensity(fit: SightAdjustment, sight: Sight, others: readonly Vector3[]): number {
  const anything = 1 / (2 * Math.PI);
  if (others.length === 0) return anything;
  const sum = others.reduce((total, starNed) => {
    const { offRad, sigmaRad } = rollFrom(fit, { ...sight, starNed });
    return total + Math.exp(-0.5 * (offRad / sigmaRad) ** 2) / (Math.sqrt(2 * Math.PI) * sigmaRad);
  }, 0);
  return strayShare * anything + ((1 - strayShare) * sum) / others.length;
}

function explanations(
  sights: readonly Sight[],
  latitudeRad: number,
  prior: SightPrior,
  othersAt: OtherStars,
): Explanation[] {
  const found: Explanation[] = [];
  const add = (kind: Slip, index: number, fit: SightAdjustment | undefined, likelihood = 1): void => {
    if (fit) found.push({ kind, index, fit, surprise: fit.surprise - 2 * Math.log(likelihood * usual[kind]) });
  };
  sights.forEach((sight, index) => {
    add('wrong side', index, fitOf(sights.with(index, otherSide(sight)), latitudeRad, prior));
    if (index > 0) add('moved', index, fitOf(sights, latitudeRad, prior, { movedFrom: index }));
    if (sights.length < 3) return;
    const without = fitOf(sights, latitudeRad, prior, { leftOut: index });
    add('misnamed', index, without, without && strayDensity(without, sight, othersAt(index)));
  });
  return found.sort((a, b) => a.surprise - b.surprise);
}

/** Not to be told apart, nor need be: one sight out of line by its star or its side, and a shift a sight earlier or later. */
const isSame = (one: Candidate, other: Candidate): boolean =>
  one.kind === 'moved' ? other.kind === 'moved' : other.kind !== 'moved' && one.index === other.index;

/**
 * Checks all sights against each other and the priors, and names what spoils them: a wrong star, a wrong side or a
 * tripod that was moved between two sights. Explanations are compared by their evidence, so that one with more freedom must
 * explain more. Throws RangeError when there is no sight or a number is not finite.
 */
export function judgeSights(
  sights: readonly Sight[],
  latitudeRad: number,
  prior: SightPrior = roughPrior,
  othersAt: OtherStars = () => [],
): SightVerdict {
  if (sights.length === 0 || !sights.every(({ rollRad }) => Number.isFinite(rollRad))) {
    throw new RangeError('judgeSights: no sight, or a roll that is not a number');
  }
  const fit = fitOf(sights, latitudeRad, prior);
  // the rolls by themselves as well, lest levels in good order hide a star that is not
  const byRoll = sights.some(({ level }) => level) ? fitOf(sights.map(withoutLevel), latitudeRad, prior) : fit;
  if (fit && byRoll && Math.min(chanceOf(fit), chanceOf(byRoll)) > doubtful) return { kind: 'consistent', fit };
  const found = explanations(sights, latitudeRad, prior, othersAt);
  if (found.length === 0) return { kind: 'unclear', candidates: [] };
  const [best] = found;
  const weights = found.map(({ surprise }) => Math.exp((best.surprise - surprise) / 2));
  const all = weights.reduce((sum, weight) => sum + weight, 0);
  const shareOf = (one: Candidate): number =>
    weights.reduce((sum, weight, i) => sum + (isSame(one, found[i]) ? weight : 0), 0) / all;
  if (chanceOf(best.fit) < doubtful || shareOf(best) < 1 - clear) {
    const firsts = found.filter((one, i) => found.findIndex((other) => isSame(one, other)) === i);
    const candidates = firsts.filter((one, i) => i < 2 || shareOf(one) > worthTelling).slice(0, 3);
    return { kind: 'unclear', candidates: candidates.map(({ kind, index }) => ({ kind, index })) };
  }
  if (best.kind !== 'misnamed') return { kind: best.kind, index: best.index, fit: best.fit };
  const wrong = sights[best.index];
  const offByRad = wrapPi(wrong.rollRad - predictedRoll(wrong, latitudeRad, best.fit.estimate));
  return { kind: 'misnamed', index: best.index, offByRad, fit: best.fit };
}

/** How far a sight is from what a fit of other sights expects of a star in the given direction, and how far it may be, 1 sigma. */
function rollFrom(
  fit: SightAdjustment,
  sight: Pick<Sight, 'starNed' | 'side' | 'rollRad' | 'sigmaRad' | 'moved'>,
): { offRad: number; sigmaRad: number } {
  const row = new Float64Array(unknownCount);
  const predicted = predictedRoll(sight, fit.latitudeRad, fit.estimate, row);
  let variance = sight.sigmaRad ** 2;
  for (let j = 0; j < unknownCount; j += 1) {
    for (let k = 0; k < unknownCount; k += 1) variance += row[j] * fit.covariance[j * unknownCount + k] * row[k];
  }
  return { offRad: wrapPi(sight.rollRad - predicted), sigmaRad: Math.sqrt(variance) };
}

/** The same in sigmas. */
function sigmasFrom(fit: SightAdjustment, sight: Parameters<typeof rollFrom>[1]): number {
  const { offRad, sigmaRad } = rollFrom(fit, sight);
  return Math.abs(offRad) / sigmaRad;
}

const lookAlikeSigmas = 3;
/** A set with the other star may be this much less likely, as -2 ln, and still be said to fit as well. */
const asWell = 4;

/** Which of the other stars the sight of this index would fit as well as its own, as indices into `others`. */
export function lookAlikes(
  sights: readonly Sight[],
  index: number,
  others: readonly Vector3[],
  latitudeRad: number,
  prior: SightPrior = roughPrior,
): number[] {
  const without = fitOf(sights, latitudeRad, prior, { leftOut: index });
  if (!without) return [];
  let own: number | undefined;
  return others.flatMap((starNed, other) => {
    const sight = { ...sights[index], starNed };
    if (sigmasFrom(without, sight) > lookAlikeSigmas) return [];
    own ??= fitOf(sights, latitudeRad, prior)?.surprise ?? Infinity;
    const swapped = fitOf(sights.with(index, sight), latitudeRad, prior);
    return swapped && swapped.surprise < own + asWell ? [other] : [];
  });
}
