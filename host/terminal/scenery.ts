import { degree } from '../../calibration/angle.ts';
import type { Needles } from '../live/session.ts';
import { distanceWords, standingOf } from '../words/distance.ts';
import { instructionWords, type BoltTurn } from '../words/instruction.ts';
import { azimuthUntrusted, distanceUntrusted } from '../words/iron.ts';
import { bandSigmas, plainAngle, type Axis } from '../words/reading.ts';
import type { Scale } from '../words/scale.ts';
import { wayToTurn, type Way } from '../words/way.ts';
import type { NeedleReading } from './needle.ts';
import { texts } from './words.ts';

/** Everything that one picture shows. */
export interface Scenery {
  needles: Needles | undefined;
  /** Age of the sample behind the needles, seconds. */
  ageS: number;
  source: string;
  /** The link in words, and its bad and lost lines. */
  link: string;
  /** What the person should know now, for two lines. */
  note: string;
  /** What to do next this evening, in one sentence or two. */
  next?: string;
  keys: string;
  /** Where the page is, or that there is none; stays in the last line. */
  page?: string;
  /** Virtual mounts only: whose hands are at the bolts. */
  hands?: { words: string; areTurning: boolean };
  scales: Record<Axis, Scale>;
  /** What a turn of each bolt does, where that was learnt. */
  bolts: Partial<Record<Axis, BoltTurn>>;
  /** In the south east lies at the left of one who faces the pole. */
  isSouth: boolean;
}

export interface Reading {
  axis: Axis;
  errorDeg: number;
  sigmaDeg: number;
  scale: Scale;
  isStale: boolean;
  /** The board is off its clip: nothing of the axis can be shown. */
  isOff: boolean;
  needle: NeedleReading;
}

const stateNames = { still: 'STILL', moving: 'MOVING', disturbed: 'DISTURBED', stale: 'NO SIGNAL' } as const;

export function readingOf(axis: Axis, { needles, scales, isSouth }: Scenery): Reading | undefined {
  if (!needles) return undefined;
  const isAzimuth = axis === 'azimuth';
  const { shown } = needles;
  const errorDeg = (isAzimuth ? shown.azimuthErrorRad : shown.altitudeErrorRad) / degree;
  const sigmaDeg = (isAzimuth ? shown.sigmaAzimuthErrorRad : shown.sigmaAltitudeErrorRad) / degree;
  // the needle itself follows every motion
  const { altitudeErrorRad, azimuthErrorRad } = needles.state === 'moving' ? needles : shown;
  const needleDeg = (isAzimuth ? azimuthErrorRad : altitudeErrorRad) / degree;
  const isStale = needles.state === 'stale';
  const isOff = needles.isOffClip;
  const scale = scales[axis];
  const direction = isAzimuth && isSouth ? -1 : 1;
  return {
    axis,
    errorDeg,
    sigmaDeg,
    scale,
    isStale,
    isOff,
    needle: { errorDeg: needleDeg, bandDeg: bandSigmas * sigmaDeg, scale, direction, isStale, isBlank: isOff },
  };
}

export function instruction(
  { axis, errorDeg, sigmaDeg, isStale, isOff }: Reading,
  { needles, bolts }: Scenery,
): string {
  if (isStale) return axis === 'azimuth' ? texts.leaveBolts : '';
  if (isOff) return axis === 'azimuth' ? texts.offClip : '';
  if (needles?.state === 'disturbed' && axis === 'azimuth') return azimuthUntrusted;
  return instructionWords(axis, errorDeg, sigmaDeg, bolts[axis]);
}

export function poleWords({ needles }: Scenery): string {
  if (!needles || needles.state === 'stale' || needles.isOffClip) return '';
  if (needles.state === 'disturbed') return distanceUntrusted;
  const { isAnchored } = needles;
  const text = distanceWords(standingOf(needles.shown), { isAtRest: needles.state === 'still', isAnchored });
  if (!needles.truth) return text;
  return `${text}   (the simulator: ${plainAngle(needles.truth.distanceRad / degree, 0.05)})`;
}

/** Which way to turn, in a word or two; nothing where there is no reading or none to trust. */
export const shortWay = (reading: Reading, scenery: Scenery): string =>
  scenery.needles?.state === 'disturbed' && reading.axis === 'azimuth' ? '' : (wayShown(reading, scenery)?.words ?? '');

/** Which way to turn; undefined where there is no reading. */
export function wayShown(reading: Reading, { needles, isSouth }: Scenery): Way | undefined {
  const { axis, errorDeg, sigmaDeg, isStale, isOff } = reading;
  if (isStale || isOff) return undefined;
  return wayToTurn(axis, errorDeg, sigmaDeg, isSouth, needles?.state !== 'disturbed' || axis !== 'azimuth');
}

/** The state in capitals, also where virtual hands are at work on an axis that looks still. */
export function stateShown({ needles, hands }: Scenery): string {
  if (!needles) return 'WAITING';
  if (needles.state !== 'stale' && needles.isOffClip) return 'OFF ITS CLIP';
  return stateNames[hands?.areTurning && needles.state === 'still' ? 'moving' : needles.state];
}
