import { degree } from '../../calibration/angle.ts';
import { bandSigmas } from './reading.ts';

/** No mount that is being set up is so far off in altitude: its board lies elsewhere then, on the base or in a hand. */
const mostDeg = 20;

/** What the needles show is the board, not the polar axis. */
export const isOffClip = (altitudeErrorDeg: number, sigmaDeg: number): boolean =>
  Math.abs(altitudeErrorDeg) - bandSigmas * sigmaDeg > mostDeg;

/** The same of needles in radians. */
export const isBoardOff = (needles: { altitudeErrorRad: number; sigmaAltitudeErrorRad: number }): boolean =>
  isOffClip(needles.altitudeErrorRad / degree, needles.sigmaAltitudeErrorRad / degree);

export const offClipWords =
  'The board is off its clip, or sits in it otherwise than it was swung: it does not tell where the axis points.';
