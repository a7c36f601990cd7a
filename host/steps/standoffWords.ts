import { degree } from '../../calibration/angle.ts';
import type { StandoffResult } from '../../calibration/standoff/types.ts';
import { farDeviationRad, isIronSeen } from '../../calibration/standoff/gates.ts';
import { bandSigmas } from '../words/reading.ts';
import { texts } from './words/standoff.ts';

/** By how much the iron turns the compass, where it sits, and what to do; where it is refused, only what was seen. */
export function standoffWords(result: StandoffResult): string[] {
  if (!result.isTelling) return [];
  const { deviationRad, sigmaDeviationRad, distanceM, ironNt } = result;
  const inDegrees = (rad: number): string => Math.max(rad / degree, 0.01).toFixed(2);
  const mostRad = Math.abs(deviationRad) + bandSigmas * sigmaDeviationRad;
  const most = inDegrees(mostRad);
  const where = `about ${(distanceM * 100).toFixed(0)} cm below the board`;
  if (Math.abs(deviationRad) < bandSigmas * sigmaDeviationRad) {
    if (mostRad > farDeviationRad) return [texts.notShown];
    return [isIronSeen(result) ? texts.hardlyTurns(where, (ironNt / 1000).toFixed(1), most) : texts.noIron(most)];
  }
  const words = [
    texts.turns(where, inDegrees(Math.abs(deviationRad)), deviationRad > 0, inDegrees(bandSigmas * sigmaDeviationRad)),
  ];
  if (!result.accepted || Math.abs(deviationRad) > farDeviationRad) return words;
  return [
    ...words,
    result.spacerNeededM < 0.005 ? texts.noSpacer : texts.spacer(Math.ceil(result.spacerNeededM * 100)),
  ];
}

/** What goes with a deviation that was kept: it holds on that spacer, and so does a swing. */
export const stayWords = (stayOnMm: number): string => (stayOnMm > 0 ? texts.stay(stayOnMm) : texts.stayWithout);
