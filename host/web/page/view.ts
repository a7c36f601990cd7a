import {
  bandSigmas,
  giveOrTake,
  plainAngle,
  readingUnit,
  readingWords,
  saysNothing,
  type Axis,
} from '../../words/reading.ts';
import { distanceWords } from '../../words/distance.ts';
import { instructionWords } from '../../words/instruction.ts';
import { azimuthUntrusted } from '../../words/iron.ts';
import { offClipWords } from '../../words/offClip.ts';
import { wayToTurn, type Way } from '../../words/way.ts';
import type { NeedlesMessage } from '../messages.ts';
import type { Feed } from './feed.ts';

/** One instrument in words. */
interface AxisWords {
  reading: string;
  /** The reading in two parts: `41′` and `east`. */
  size: string;
  side: string;
  sure: string;
  isUnknown: boolean;
  instruction: string;
}

const shownOf = ({ shown }: NeedlesMessage, axis: Axis): { error: number; sigma: number } =>
  axis === 'azimuth'
    ? { error: shown.azimuthErrorDeg, sigma: shown.sigmaAzimuthErrorDeg }
    : { error: shown.altitudeErrorDeg, sigma: shown.sigmaAltitudeErrorDeg };

export function axisWords(feed: Feed, axis: Axis): AxisWords {
  const { needles } = feed;
  if (!needles || !feed.hasReading())
    return { reading: 'no reading', size: 'no reading', side: '', sure: '', isUnknown: false, instruction: '' };
  const { error, sigma } = shownOf(needles, axis);
  const unit = readingUnit(error, sigma);
  const reading = readingWords(axis, error, sigma, unit);
  const isUnknown = saysNothing(sigma);
  const [size, side = ''] = isUnknown ? [reading] : reading.split(' ');
  return {
    reading,
    size,
    side,
    sure: giveOrTake(sigma, unit),
    isUnknown,
    instruction:
      needles.state === 'disturbed' && axis === 'azimuth'
        ? azimuthUntrusted
        : instructionWords(axis, error, sigma, feed.knobs?.[axis]),
  };
}

/** Which way to turn, for a glance from a distance; nothing while there is no reading. */
export function wayShown(feed: Feed, axis: Axis): Way {
  const { needles } = feed;
  if (!needles || !feed.hasReading()) return { words: '', isNear: false };
  const { error, sigma } = shownOf(needles, axis);
  const isTrusted = needles.state !== 'disturbed' || axis !== 'azimuth';
  return wayToTurn(axis, error, sigma, feed.hello?.pole === 'south', isTrusted);
}

/** State in one line; a reading that is late is soon none. */
export function stateWords(feed: Feed): string {
  if (feed.isHostGone()) return 'the host does not answer';
  if (!feed.needles) return 'no reading yet';
  if (feed.isStale()) return `no reading for ${Math.min(999, Math.round(feed.ageS()))} s`;
  return feed.isOffClip() ? 'off its clip' : feed.needles.state;
}

/** The one short sentence of the view for a distance. */
export function farWords(feed: Feed): string {
  const { needles } = feed;
  if (feed.isHostGone()) return 'The host does not answer';
  if (feed.hello?.hasSite === false) return 'The site is missing';
  if (!needles || feed.isStale()) return 'No reading';
  if (feed.isOffClip()) return 'The board is off its clip';
  if (needles.state === 'disturbed') return 'Iron is near the board';
  const { distanceDeg, sigmaDistanceDeg } = needles.shown;
  if (saysNothing(sigmaDistanceDeg)) return `Cannot tell yet, ${needles.state}`;
  const band = bandSigmas * sigmaDistanceDeg;
  const distance =
    distanceDeg > band
      ? `${plainAngle(distanceDeg, band)} from the pole`
      : `within ${plainAngle(distanceDeg + band, band)} of the pole`;
  return `${distance}, ${needles.state}`;
}

/** The one sentence below the needles: what matters most now. */
export function verdictWords(feed: Feed): string {
  const { needles } = feed;
  if (feed.isHostGone()) return 'Check that the program is running. The needles come back by themselves.';
  if (feed.hello?.hasSite === false)
    return 'The site is missing. Open the steps and type it in the first one: then the needles appear.';
  if (!needles || feed.isStale()) return feed.link?.words ?? 'Waiting for the board.';
  if (feed.isOffClip()) return offClipWords;
  if (needles.state === 'disturbed')
    return 'Iron is near the board. Move tools, keys and this phone away. If the mount itself is the cause, swing the axis.';
  return distanceWords(needles.shown, { isAtRest: needles.state === 'still', isAnchored: needles.isAnchored });
}
