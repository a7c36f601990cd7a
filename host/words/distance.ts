import { degree } from '../../calibration/angle.ts';
import { canBeBettered, cannotTell } from './instruction.ts';
import { bandSigmas, plainAngle, saysNothing } from './reading.ts';

/** Where the polar axis points, with what is known of it; degrees, one sigma. */
export interface AxisStanding {
  distanceDeg: number;
  sigmaDistanceDeg: number;
  altitudeErrorDeg: number;
  sigmaAltitudeErrorDeg: number;
  azimuthErrorDeg: number;
  sigmaAzimuthErrorDeg: number;
}

/** The same of needles and answers in radians. */
export const standingOf = (axis: {
  distanceRad: number;
  sigmaDistanceRad: number;
  altitudeErrorRad: number;
  sigmaAltitudeErrorRad: number;
  azimuthErrorRad: number;
  sigmaAzimuthErrorRad: number;
}): AxisStanding => ({
  distanceDeg: axis.distanceRad / degree,
  sigmaDistanceDeg: axis.sigmaDistanceRad / degree,
  altitudeErrorDeg: axis.altitudeErrorRad / degree,
  sigmaAltitudeErrorDeg: axis.sigmaAltitudeErrorRad / degree,
  azimuthErrorDeg: axis.azimuthErrorRad / degree,
  sigmaAzimuthErrorDeg: axis.sigmaAzimuthErrorRad / degree,
});

const cannotTellDistance = 'How far from the pole: cannot tell yet.';

/** What the axis is judged from. */
interface Grounds {
  isAtRest: boolean;
  /** The needles carry on what was measured on the sky. */
  isAnchored: boolean;
}

/**
 * `12′ from the pole, give or take 4′.`; where the pole lies within that, only how far off the axis can be. That no better can be shown
 * is said at rest only, where no bolt is named (the altitude is mostly known far better than the azimuth that hides it here) and none
 * is unknown: so good are needles only after a tumble and a swing of this board at this site.
 */
export function distanceWords(axis: AxisStanding, { isAtRest, isAnchored }: Grounds): string {
  const { distanceDeg, sigmaDistanceDeg } = axis;
  const band = bandSigmas * sigmaDistanceDeg;
  if (saysNothing(sigmaDistanceDeg)) return cannotTellDistance;
  if (distanceDeg > band)
    return `${plainAngle(distanceDeg, band)} from the pole, give or take ${plainAngle(band, band)}.`;
  if (
    cannotTell(axis.altitudeErrorDeg, axis.sigmaAltitudeErrorDeg) ||
    cannotTell(axis.azimuthErrorDeg, axis.sigmaAzimuthErrorDeg)
  )
    return cannotTellDistance;
  const most = plainAngle(distanceDeg + band, band);
  const altitude = canBeBettered(axis.altitudeErrorDeg, axis.sigmaAltitudeErrorDeg);
  const azimuth = canBeBettered(axis.azimuthErrorDeg, axis.sigmaAzimuthErrorDeg);
  if (altitude || azimuth) {
    const which = altitude && azimuth ? 'Both axes' : altitude ? 'The altitude' : 'The azimuth';
    return `Within ${most} of the pole. ${which} can still be improved.`;
  }
  if (!isAtRest) return `Within ${most} of the pole.`;
  return `Within ${most} of the pole: as close as ${isAnchored ? "tonight's measurements" : 'the compass'} can show.`;
}
