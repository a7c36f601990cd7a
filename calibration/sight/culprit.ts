import { wrapPi } from '../angle.ts';
import { chanceOfChiSquared } from '../chance.ts';
import { adjustSights, roughPrior, type SightAdjustment, type SightPrior } from './adjustSights.ts';
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
  /** Something is wrong and it cannot be told what; nothing is to be believed. `suspects` are the likeliest. */
  | { kind: 'unclear'; suspects: readonly number[] };

/** Chances below which a set is not believed, and above which an explanation is. */
const doubtful = 0.002;
const credible = 0.01;
/** Of two explanations the better must lead by this much of chi-squared (a chance of about 1 in 20). */
const clearLead = 4;

/** What each explanation costs in chi-squared: the rarer the slip and the more it can explain, the dearer. */
const cost = { 'wrong side': 0, misnamed: 9, moved: 5 } as const;

interface Explanation {
  kind: keyof typeof cost;
  index: number;
  fit: SightAdjustment;
  score: number;
}

const chanceOf = (fit: SightAdjustment): number => chanceOfChiSquared(fit.chiSquared, fit.degreesOfFreedom);
const otherSide = (sight: Sight): Sight => ({ ...sight, side: sight.side === 'west' ? 'east' : 'west' });

/** Undefined where a set is so wrong that the adjustment runs away to where nothing is determined. */
function fitOf(sights: readonly Sight[], latitudeRad: number, prior: SightPrior, movedFrom?: number) {
  try {
    return adjustSights(sights, latitudeRad, prior, movedFrom);
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

function explanations(sights: readonly Sight[], latitudeRad: number, prior: SightPrior): Explanation[] {
  const found: Explanation[] = [];
  const add = (kind: Explanation['kind'], index: number, fit: SightAdjustment | undefined): void => {
    if (fit) found.push({ kind, index, fit, score: fit.chiSquared + cost[kind] });
  };
  sights.forEach((sight, index) => {
    add('wrong side', index, fitOf(sights.with(index, otherSide(sight)), latitudeRad, prior));
    if (sights.length >= 3) add('misnamed', index, fitOf(sights.toSpliced(index, 1), latitudeRad, prior));
    if (index >= 2 && index <= sights.length - 2) add('moved', index, fitOf(sights, latitudeRad, prior, index));
  });
  return found.sort((a, b) => a.score - b.score);
}

/**
 * Checks all sights against each other and the priors, and names what spoils them: a wrong star, a wrong side or a
 * tripod that was moved between two sights. Throws RangeError when there is no sight or a number is not finite.
 */
export function judgeSights(
  sights: readonly Sight[],
  latitudeRad: number,
  prior: SightPrior = roughPrior,
): SightVerdict {
  if (sights.length === 0 || !sights.every(({ rollRad }) => Number.isFinite(rollRad))) {
    throw new RangeError('judgeSights: no sight, or a roll that is not a number');
  }
  const fit = fitOf(sights, latitudeRad, prior);
  if (fit && chanceOf(fit) > doubtful) return { kind: 'consistent', fit };
  const [best, ...others] = explanations(sights, latitudeRad, prior);
  if (!best) return { kind: 'unclear', suspects: sights.map((_, index) => index) };
  // No rivals: a sight left out that also fits on the other side, and a shift found a sight earlier or later.
  const rival = others.find(({ kind, index }) =>
    best.kind === 'moved' ? kind !== 'moved' : kind === 'moved' || index !== best.index,
  );
  if (chanceOf(best.fit) < credible || (rival && rival.score - best.score < clearLead)) {
    const suspects = [best, ...(rival ? [rival] : [])].flatMap(({ kind, index }) =>
      kind === 'moved' ? [index - 1, index] : [index],
    );
    return { kind: 'unclear', suspects: [...new Set(suspects)] };
  }
  if (best.kind !== 'misnamed') return { kind: best.kind, index: best.index, fit: best.fit };
  const wrong = sights[best.index];
  const offByRad = wrapPi(wrong.rollRad - predictedRoll(wrong, latitudeRad, best.fit.estimate));
  return { kind: 'misnamed', index: best.index, offByRad, fit: best.fit };
}

/** How many sigmas a sight is from what a fit of other sights expects of a star in the given direction. */
export function sigmasFrom(
  fit: SightAdjustment,
  sight: Pick<Sight, 'starNed' | 'side' | 'rollRad' | 'sigmaRad' | 'moved'>,
): number {
  const row = new Float64Array(unknownCount);
  const predicted = predictedRoll(sight, fit.latitudeRad, fit.estimate, row);
  const unknowns = fit.estimate.length;
  let variance = sight.sigmaRad ** 2;
  for (let j = 0; j < unknownCount; j += 1) {
    for (let k = 0; k < unknownCount; k += 1) variance += row[j] * fit.covariance[j * unknowns + k] * row[k];
  }
  return Math.abs(wrapPi(sight.rollRad - predicted)) / Math.sqrt(variance);
}
