import { isAtRest, type Needles } from '../live/session.ts';
import { standingOf } from '../words/distance.ts';
import { canBeBettered } from '../words/instruction.ts';
import { errorsWords } from './nightReport.ts';
import { texts } from './words.ts';

/** At rest, and so near that neither needle can show less. */
export function areHome(needles: Needles): boolean {
  const { altitudeErrorDeg, azimuthErrorDeg, sigmaAltitudeErrorDeg, sigmaAzimuthErrorDeg } = standingOf(needles);
  return (
    isAtRest(needles) &&
    !needles.isOffClip &&
    !canBeBettered(altitudeErrorDeg, sigmaAltitudeErrorDeg) &&
    !canBeBettered(azimuthErrorDeg, sigmaAzimuthErrorDeg)
  );
}

export const needlesHomeWords = (needles: Needles): string => texts.atRest(errorsWords(standingOf(needles)));
