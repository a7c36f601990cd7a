import { degree } from '../../calibration/angle.ts';
import { canBeBettered } from './instruction.ts';
import { bandSigmas, plainAngle } from './reading.ts';

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

/**
 * `12′ from the pole, give or take 4′.`; where the pole lies within the band, only how far off the axis can be. As near as can be
 * told it is only where no bolt is named: the altitude is mostly known far better than the azimuth that hides it here.
 */
export function distanceWords(axis: AxisStanding): string {
  const { distanceDeg, sigmaDistanceDeg } = axis;
  const band = bandSigmas * sigmaDistanceDeg;
  if (distanceDeg > band)
    return `${plainAngle(distanceDeg, band)} from the pole, give or take ${plainAngle(band, band)}.`;
  const most = plainAngle(distanceDeg + band, band);
  const altitude = canBeBettered(axis.altitudeErrorDeg, axis.sigmaAltitudeErrorDeg);
  const azimuth = canBeBettered(axis.azimuthErrorDeg, axis.sigmaAzimuthErrorDeg);
  if (!altitude && !azimuth) return `As near to the pole as this can tell: within ${most}.`;
  const which = altitude && azimuth ? 'both axes' : altitude ? 'the altitude' : 'the azimuth';
  return `Within ${most} of the pole; ${which} can be bettered.`;
}
