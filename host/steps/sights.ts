import { arcminute, degree } from '../../calibration/angle.ts';
import type { Gate } from '../../calibration/gate.ts';
import type { SightAdjustment } from '../../calibration/sight/adjustSights.ts';
import {
  firstCovariance,
  roughPrior,
  sigmaOfSight,
  usualSigmas,
  type SightPrior,
} from '../../calibration/sight/sightPrior.ts';
import { judgeSights, lookAlikes, type OtherStars, type SightVerdict } from '../../calibration/sight/culprit.ts';
import { rankNext, skySigma, stillHelps } from '../../calibration/sight/nextSight.ts';
import { sideWithCounterweightBelow, unknownCount, type Sight, type Side } from '../../calibration/sight/sightModel.ts';
import { exitCode, Failure } from '../failure.ts';
import { madeUtc } from '../site/clock.ts';
import type { Site } from '../site/site.ts';
import { placeOf } from '../sky/place.ts';
import type { Star } from '../sky/stars.ts';
import { seenDirection, starsToTake, visibleStars, whereWords, type VisibleStar } from '../sky/visible.ts';

/** A star that was centred: what the user says, the clock and the board. */
export interface TimedSight {
  star: Star;
  side: Side;
  utc: Date;
  /** Roll of gravity about the polar axis, `rollOf`. */
  rollRad: number;
  /** How far the needles had the axis from where it is now. */
  moved?: Sight['moved'];
  /** Altitude of the axis by gravity, where a board was read. */
  level?: Sight['level'];
}

/** The sight as the adjustment takes it. Throws Failure for a clock that is off or a star below the horizon. */
function toSight({ star, side, utc, rollRad, moved, level }: TimedSight, site: Site): Sight {
  if (utc < madeUtc) {
    throw new Failure(
      exitCode.badData,
      `The sight of ${star.name} is dated ${utc.toISOString()}, before this program was made.`,
      'Set the clock and take the sights again.',
    );
  }
  const place = placeOf({ kind: 'star', star }, site, utc);
  if (place.refractedAltitudeRad < 0) {
    throw new Failure(
      exitCode.badData,
      `${star.name} was ${(-place.altitudeRad / degree).toFixed(0)}° below the horizon at ${utc.toISOString()}.`,
      'Check the name of the star, the clock and the site.',
    );
  }
  return {
    starNed: seenDirection(place),
    side,
    rollRad,
    sigmaRad: sigmaOfSight(usualSigmas, place.declinationRad, site.latitudeRad),
    moved,
    level,
  };
}

export interface NextStar {
  star: Star;
  side: Side;
  /** "38° up in the south-east". */
  where: string;
  /** What would stay unknown on the sky after it, and after the best one that could follow. */
  sigmaAfterRad: number;
  sigmaAfterNextRad: number;
}

/** The stars that would shrink what is not known most, best first, each on the side that keeps the counterweight below. */
export function nextStars(
  fit: SightAdjustment | undefined,
  site: Site,
  date: Date,
  used: readonly Star[],
  prior: SightPrior = roughPrior,
): NextStar[] {
  const free = starsToTake(site, date).filter(({ star }) => !used.includes(star));
  const sideOf = ({ place }: VisibleStar): Side => sideWithCounterweightBelow(place.hourAngleRad);
  const candidates = free.map((seen) => ({
    starNed: seen.starNed,
    side: sideOf(seen),
    sigmaRad: sigmaOfSight(usualSigmas, seen.place.declinationRad, site.latitudeRad),
  }));
  const covariance = fit?.covariance ?? firstCovariance(prior);
  const estimate = fit?.estimate ?? new Float64Array(unknownCount);
  return rankNext(covariance, estimate, site.latitudeRad, candidates).map(({ index, ...expected }) => ({
    star: free[index].star,
    side: sideOf(free[index]),
    where: whereWords(free[index].place),
    sigmaAfterRad: expected.sigmaAfterRad,
    sigmaAfterNextRad: expected.sigmaAfterNextRad,
  }));
}

export interface SightsOutcome {
  verdict: SightVerdict;
  /** Undefined where nothing is to be believed. */
  fit?: SightAdjustment;
  /** Root mean square distance on the sky that is not known, radians. */
  sigmaRad: number;
  next?: NextStar;
  /** Whether another sight is worth taking. */
  helps: boolean;
  gates: Gate[];
  /** Sentences: culprits, look-alikes. */
  remarks: string[];
}

const alikeLimitRad = 0.5 * degree;

/**
 * Adjusts all sights of tonight, names what spoils them and what to take next; of a night gone by nothing more is to be taken.
 * Throws Failure as `toSight`.
 */
export function judgeNight(
  timed: readonly TimedSight[],
  site: Site,
  now: Date,
  prior: SightPrior = roughPrior,
  isPast = false,
): SightsOutcome {
  const sights = timed.map((sight) => toSight(sight, site));
  const othersAt: OtherStars = (index) =>
    visibleStars(site, timed[index].utc).flatMap(({ star, starNed }) => (star === timed[index].star ? [] : [starNed]));
  const verdict = judgeSights(sights, site.latitudeRad, prior, othersAt);
  const fit = verdict.kind === 'unclear' ? undefined : verdict.fit;
  const used = timed.map(({ star }) => star);
  const [best] = nextStars(fit, site, now, used, prior);
  const next = isPast ? undefined : best;
  const axisAltitudeRad = Math.abs(site.latitudeRad);
  const sigmaRad = fit
    ? skySigma(fit.covariance, fit.estimate.length, axisAltitudeRad)
    : skySigma(firstCovariance(prior), unknownCount, axisAltitudeRad);
  const helps = stillHelps(sigmaRad, best);
  const gates: Gate[] = [];
  if (verdict.kind === 'unclear') {
    const { candidates } = verdict;
    const mayHaveMoved = candidates.some(({ kind }) => kind === 'moved');
    const said = candidates.map(({ kind, index }) =>
      kind === 'moved'
        ? `the axis moved before sight ${index + 1}`
        : `sight ${index + 1} of ${used[index].name} has a wrong ${kind === 'misnamed' ? 'star' : 'side'}`,
    );
    gates.push({
      verdict: 'stop',
      reason: `the sights contradict each other${said.length > 0 ? `: either ${said.join(', or ')}` : ''}`,
      value: sights.length,
      limit: sights.length + 1,
      unit: 'sights',
      nextAction: mayHaveMoved
        ? `Take ${used[0].name} again: if its sight no longer fits the first one, the tripod was knocked; start again.`
        : 'Take one of them again. If the new sight differs from the old one, leave out the old one. If they agree, leave out the other sight.',
    });
  } else if (sights.length >= 2 && sigmaRad > alikeLimitRad) {
    gates.push({
      verdict: 'stop',
      reason: 'the sights are too few or too alike: uncertainty of the axis',
      value: sigmaRad / arcminute,
      limit: alikeLimitRad / arcminute,
      unit: 'arcmin',
      isSigma: true,
      nextAction: next
        ? `Next take ${next.star.name}, ${next.where}, with the tube ${next.side} of the mount.`
        : 'Take stars farther apart, on both sides of the meridian and of different declination.',
    });
  }
  return { verdict, fit, sigmaRad, next, helps, gates, remarks: remarksOn(verdict, sights, timed, site, prior) };
}

function remarksOn(
  verdict: SightVerdict,
  sights: readonly Sight[],
  timed: readonly TimedSight[],
  site: Site,
  prior: SightPrior,
): string[] {
  if (verdict.kind === 'unclear') return [];
  const likely = (index: number): string[] => {
    const others = visibleStars(site, timed[index].utc).filter(({ star }) => star !== timed[index].star);
    const directions = others.map(({ starNed }) => starNed);
    return lookAlikes(sights, index, directions, site.latitudeRad, prior)
      .slice(0, 3)
      .map((other) => others[other].star.name);
  };
  if (verdict.kind === 'misnamed') {
    const { star } = timed[verdict.index];
    const others = likely(verdict.index);
    const offDeg = Math.abs(verdict.offByRad / degree).toFixed(1);
    return [
      `Sight ${verdict.index + 1} (${star.name}) does not fit the others by ${offDeg}° of roll and is left out: ` +
        (others.length > 0
          ? `it may have been ${others.join(' or ')}.`
          : 'a wrong star, or a knock while it was taken.'),
    ];
  }
  if (verdict.kind === 'wrong side') {
    const { star, side } = timed[verdict.index];
    return [
      `Sight ${verdict.index + 1} (${star.name}) fits with the tube ${side === 'west' ? 'east' : 'west'} of the mount, not ${side}; it is used that way.`,
    ];
  }
  if (verdict.kind === 'moved') {
    return [
      `The axis shifted between sight ${verdict.index} and ${verdict.index + 1} or near there: was the tripod knocked? ` +
        'The errors shown are those since then.',
    ];
  }
  return timed.flatMap(({ star }, index) => {
    const others = likely(index);
    return others.length > 0
      ? [
          `Sight ${index + 1} would fit ${others.join(' or ')} as well as ${star.name}: check that you had the right star.`,
        ]
      : [];
  });
}
