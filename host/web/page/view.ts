import { giveOrTake, readingUnit, readingWords, type Axis } from '../../words/reading.ts';
import { distanceWords } from '../../words/distance.ts';
import { instructionWords } from '../../words/instruction.ts';
import { offClipWords } from '../../words/offClip.ts';
import type { Feed } from './feed.ts';

/** One instrument in words. */
export interface AxisWords {
  reading: string;
  sure: string;
  instruction: string;
}

export function axisWords(feed: Feed, axis: Axis): AxisWords {
  const { needles } = feed;
  if (!needles || !feed.hasReading()) return { reading: 'no reading', sure: '', instruction: '' };
  const error = axis === 'azimuth' ? needles.azimuthErrorDeg : needles.altitudeErrorDeg;
  const sigma = axis === 'azimuth' ? needles.sigmaAzimuthErrorDeg : needles.sigmaAltitudeErrorDeg;
  const unit = readingUnit(error, sigma);
  return {
    reading: readingWords(axis, error, sigma, unit),
    sure: giveOrTake(sigma, unit),
    instruction:
      needles.state === 'disturbed' && axis === 'azimuth'
        ? 'Not to be trusted now.'
        : instructionWords(axis, error, sigma, feed.knobs?.[axis]),
  };
}

/** State and age in one line. */
export function stateWords(feed: Feed): string {
  if (feed.isHostGone()) return 'the host does not answer';
  if (!feed.needles) return 'no reading yet';
  if (feed.isStale()) return `no reading for ${Math.min(999, Math.round(feed.ageS()))} s`;
  return `${feed.isOffClip() ? 'off its clip' : feed.needles.state}, ${feed.ageS().toFixed(1)} s old`;
}

/** The one sentence below the needles: what matters most now. */
export function verdictWords(feed: Feed): string {
  const { needles } = feed;
  if (feed.isHostGone()) return 'Is the program still running? The needles come back by themselves.';
  if (feed.hello?.hasSite === false)
    return 'Where the mount stands is not known yet. Open the steps and type it in the first one: then the needles come.';
  if (!needles || feed.isStale()) return feed.link?.words ?? 'Waiting for the board.';
  if (feed.isOffClip()) return offClipWords;
  if (needles.state === 'disturbed')
    return 'Iron is near the board. Take tools, keys and this phone away from it; for iron of the mount, swing the axis.';
  return distanceWords(needles);
}
