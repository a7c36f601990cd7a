import { arcminute } from '../../calibration/angle.ts';
import { adjustSights } from '../../calibration/sight/adjustSights.ts';
import type { OtherStars } from '../../calibration/sight/culprit.ts';
import { skySigma } from '../../calibration/sight/nextSight.ts';
import type { Sight } from '../../calibration/sight/sightModel.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import {
  drawNight,
  knocked,
  minutesBetween,
  missRad,
  normalisedMiss,
  takeNight,
  visibleStars,
  type Night,
  type Taken,
} from './sightNights.ts';

export const median = (values: number[]): number => values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)];

export interface Summary {
  medianArcmin: number;
  rmsArcmin: number;
  /** Rms of the errors over the rms that the covariance promises. */
  ratioToBound: number;
  within68: number;
  within95: number;
  /** Mean of the squared misses, each in its own sigmas: chi-squared with two degrees of freedom has 2, of n nights give or take 2 / sqrt n. */
  meanNormalised: number;
}

/** Chi-squared of two degrees of freedom: -2 ln(1 - p). */
const limit68 = -2 * Math.log(1 - 0.68);
const limit95 = -2 * Math.log(1 - 0.95);

export function summarise(misses: { missRad: number; boundRad: number; normalised: number }[]): Summary {
  const meanSquare = (values: number[]): number => values.reduce((sum, v) => sum + v * v, 0) / values.length;
  const squared = meanSquare(misses.map((miss) => miss.missRad));
  return {
    medianArcmin: median(misses.map((miss) => miss.missRad)) / arcminute,
    rmsArcmin: Math.sqrt(squared) / arcminute,
    ratioToBound: Math.sqrt(squared / meanSquare(misses.map((miss) => miss.boundRad))),
    within68: misses.filter((miss) => miss.normalised < limit68).length / misses.length,
    within95: misses.filter((miss) => miss.normalised < limit95).length / misses.length,
    meanNormalised: misses.reduce((sum, { normalised }) => sum + normalised, 0) / misses.length,
  };
}

const mostSights = 6;
const nightsTaken = new Map<string, { night: Night; taken: Taken[] }>();

/** The first `count`, up to six, sights of a night, which is drawn once: what is taken first does not hang on what follows. */
export function takenOf(
  seed: number,
  count: number,
  choice: 'recommended' | 'random' = 'recommended',
  useCompass = true,
): { night: Night; taken: Taken[] } {
  const key = `${seed} ${choice} ${useCompass}`;
  let all = nightsTaken.get(key);
  if (!all) {
    const night = drawNight(seed, useCompass);
    all = { night, taken: takeNight(night, mostSights, choice) };
    nightsTaken.set(key, all);
  }
  return { night: all.night, taken: all.taken.slice(0, count) };
}

/** Nights with seeds 1 to `nights`: errors of the axis after `count` sights. */
export const nightStatistics = (
  nights: number,
  count: number,
  choice: 'recommended' | 'random',
  useCompass: boolean,
): Summary =>
  summarise(
    Array.from({ length: nights }, (_, i) => {
      const { night, taken } = takenOf(i + 1, count, choice, useCompass);
      const sights = taken.map(({ sight }) => sight);
      const fit = adjustSights(sights, night.site.latitudeRad, night.prior);
      return {
        missRad: missRad(night, fit.altitudeErrorRad, fit.azimuthErrorRad),
        boundRad: skySigma(fit.covariance, fit.estimate.length, night.site.latitudeRad),
        normalised: normalisedMiss(night, fit),
      };
    }),
  );

/** Six sights, three before and three after the tripod was knocked by `angleRad`, and the other stars that could have been meant. */
export function knockedNight(night: Night, angleRad: number): { sights: Sight[]; othersAt: OtherStars; late: Night } {
  const before = takeNight(night, 3, 'recommended');
  const late = knocked(night, angleRad);
  const taken = [...before, ...takeNight(late, 3, 'recommended')];
  const othersAt: OtherStars = (index) =>
    othersOf(index < 3 ? night : late, index % 3, taken[index].seen.star.hip).map(({ ned }) => ned);
  return { sights: taken.map(({ sight }) => sight), othersAt, late };
}

/** Stars that could be seen when the sight of this index was taken, but for one. */
const othersOf = (night: Night, index: number, hip: number) =>
  visibleStars(night, new Date(night.start.getTime() + index * minutesBetween * 60_000)).filter(
    ({ star }) => star.hip !== hip,
  );

/** Gives one sight of the night the name of another star that could be seen. */
export function misnameOne(
  night: Night,
  taken: Taken[],
): { sights: Sight[]; index: number; truly: Vector3; othersAt: OtherStars } {
  const index = Math.floor(night.random.between(0, taken.length));
  const used = new Set(taken.map(({ seen }) => seen.star.hip));
  const others = visibleStars(night, night.start).filter(({ star }) => !used.has(star.hip));
  const other = others[Math.floor(night.random.between(0, others.length))];
  return {
    sights: taken.map(({ sight }, i) => (i === index ? { ...sight, starNed: other.ned } : sight)),
    index,
    truly: taken[index].seen.ned,
    othersAt: (i) => othersOf(night, i, i === index ? other.star.hip : taken[i].seen.star.hip).map(({ ned }) => ned),
  };
}
