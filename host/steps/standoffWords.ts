import { degree } from '../../calibration/angle.ts';
import type { StandoffResult } from '../../calibration/standoff/types.ts';
import { farDeviationRad, isIronSeen } from '../../calibration/standoff/gates.ts';
import { bandSigmas } from '../words/reading.ts';

/** By how much the iron turns the compass, where it sits, and what to do; where it is refused, only what was seen. */
export function standoffWords(result: StandoffResult): string[] {
  if (!result.isTelling) return [];
  const { deviationRad, sigmaDeviationRad, distanceM, ironNt } = result;
  const inDegrees = (rad: number): string => Math.max(rad / degree, 0.01).toFixed(2);
  const mostRad = Math.abs(deviationRad) + bandSigmas * sigmaDeviationRad;
  const most = inDegrees(mostRad);
  const where = `about ${(distanceM * 100).toFixed(0)} cm below the board`;
  if (Math.abs(deviationRad) < bandSigmas * sigmaDeviationRad) {
    if (mostRad > farDeviationRad) return ['These readings do not show whether iron below the clip turns the compass.'];
    return [
      isIronSeen(result)
        ? `Iron shows ${where} (${(ironNt / 1000).toFixed(1)} microtesla), but placed as it is, it turns the compass by ${most} degrees at most.`
        : `No iron shows below the clip: it turns the compass by ${most} degrees at most.`,
    ];
  }
  const words = [
    `Iron ${where} turns the compass ${inDegrees(Math.abs(deviationRad))} degrees toward ` +
      `${deviationRad > 0 ? 'east' : 'west'}, give or take ${inDegrees(bandSigmas * sigmaDeviationRad)}.`,
  ];
  if (!result.accepted || Math.abs(deviationRad) > farDeviationRad) return words;
  return [
    ...words,
    result.spacerNeededM < 0.005
      ? 'No spacer is needed.'
      : `A spacer of ${Math.ceil(result.spacerNeededM * 100)} cm of wood or plastic reduces that to less than 0.1 degree.`,
  ];
}

/** What goes with a deviation that was kept: it holds on that spacer, and so does a swing. */
export const stayWords = (stayOnMm: number): string =>
  stayOnMm > 0
    ? `Leave the board on the spacer of ${stayOnMm} mm; if the swing was made without it, swing the axis again.`
    : 'Leave the board without a spacer.';
