import { degree } from '../../calibration/angle.ts';
import type { SwingResult } from '../../calibration/swing/types.ts';
import { norm } from '../../calibration/vector.ts';
import { instructionWords } from '../words/instruction.ts';
import { angleWords, sideOf, type Axis } from '../words/reading.ts';
import { inDeg, rounded } from '../words/figures.ts';
import { seatWords } from './reversalStep.ts';
import { texts } from './words/swing.ts';

/** The result of a swing as machine output: degrees and nT, sigma in front. */
export function swingJson(swing: SwingResult): Record<string, unknown> {
  const { errors, errorCovariance } = swing;
  return {
    ...(errors &&
      errorCovariance && {
        altitudeErrorDeg: inDeg(errors.altitudeErrorRad),
        azimuthErrorDeg: inDeg(errors.azimuthErrorRad),
        distanceDeg: inDeg(errors.distanceRad),
        sigmaAltitudeErrorDeg: inDeg(Math.sqrt(errorCovariance[0])),
        sigmaAzimuthErrorDeg: inDeg(Math.sqrt(errorCovariance[3])),
        sigmaDistanceDeg: inDeg(swing.sigmaDistanceRad ?? 0),
      }),
    axisInBoard: swing.axisInBoard.map((part) => rounded(part, 8)),
    sigmaAxisInBoardDeg: inDeg(swing.sigmaAxisInBoardRad),
    axisAltitudeDeg: inDeg(swing.axisAltitudeRad),
    axisMagneticAzimuthDeg: inDeg(swing.axisMagneticAzimuthRad),
    sigmaAxisAltitudeDeg: inDeg(Math.sqrt(swing.covariance[0])),
    sigmaAxisMagneticAzimuthDeg: inDeg(Math.sqrt(swing.covariance[3])),
    spreadDeg: inDeg(swing.spreadRad),
    spreadAzimuthDeg: inDeg(swing.spreadAzimuthRad),
    spreadAltitudeDeg: inDeg(swing.spreadAltitudeRad),
    arcDeg: inDeg(swing.arcRad),
    dwells: swing.rollRad.length,
    turnAlongIronNt: swing.turnAlongIronNt.map((part) => rounded(part, 1)),
    misfit: rounded(swing.misfit),
  };
}

/** The blind spot of every swing: the field of such iron is the same in all rests. */
export const standingIronWords = texts.standingIron;

/** What a person reads: where the axis is, how sure, what turns along, what to do; where it is refused, only what was seen. */
export function swingWords(swing: SwingResult): string[] {
  const seen = texts.rests(
    swing.rollRad.length,
    (swing.arcRad / degree).toFixed(0),
    (swing.spreadRad / degree).toFixed(2),
  );
  if (!swing.accepted) return [seen];
  const iron = texts.turningIron((norm(swing.turnAlongIronNt) / 1000).toFixed(1));
  return [seen, iron, ...axisWords(swing), standingIronWords];
}

/** The same for a clip turned end for end where nothing turns. */
export const reversalWords = (swing: SwingResult): string[] =>
  swing.accepted ? [...axisWords(swing), seatWords, standingIronWords] : swingWords(swing);

function axisWords(swing: SwingResult): string[] {
  const { errors, errorCovariance } = swing;
  if (!errors || !errorCovariance) {
    return [
      texts.axis((swing.axisAltitudeRad / degree).toFixed(2), (swing.axisMagneticAzimuthRad / degree).toFixed(2)),
      texts.noSite,
    ];
  }
  const line = (axis: Axis, errorRad: number, sigmaRad: number): string => {
    const [errorDeg, sigmaDeg] = [errorRad / degree, sigmaRad / degree];
    const unit = Math.abs(errorDeg) >= 1 ? '°' : '′';
    return texts.error(
      angleWords(errorDeg, 2 * sigmaDeg, unit),
      sideOf(axis, errorDeg) === 'east' || sideOf(axis, errorDeg) === 'west',
      sideOf(axis, errorDeg),
      angleWords(2 * sigmaDeg, 2 * sigmaDeg, 2 * sigmaDeg >= 1 ? '°' : '′'),
      instructionWords(axis, errorDeg, sigmaDeg),
    );
  };
  return [
    line('altitude', errors.altitudeErrorRad, Math.sqrt(errorCovariance[0])),
    line('azimuth', errors.azimuthErrorRad, Math.sqrt(errorCovariance[3])),
  ];
}
