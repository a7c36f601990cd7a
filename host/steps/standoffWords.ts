import { degree } from '../../calibration/angle.ts';
import type { StandoffResult } from '../../calibration/standoff/fitStandoff.ts';

/** By how much the iron turns the compass, where it sits, and what to do. */
export function standoffWords(result: StandoffResult): string[] {
  const deviationDeg = Math.abs(result.deviationRad) / degree;
  const bandDeg = (2 * result.sigmaDeviationRad) / degree;
  if (deviationDeg < bandDeg) {
    return [
      `No iron shows below the clip: it turns the compass by less than ${Math.max(bandDeg, 0.01).toFixed(2)} degrees.`,
    ];
  }
  return [
    `Iron about ${(result.distanceM * 100).toFixed(0)} cm below the board turns the compass ${deviationDeg.toFixed(2)} degrees toward ` +
      `${result.deviationRad > 0 ? 'east' : 'west'}, give or take ${bandDeg.toFixed(2)}.`,
    result.spacerNeededM < 0.005
      ? 'No spacer is needed.'
      : `A spacer of ${Math.ceil(result.spacerNeededM * 100)} cm of wood or plastic brings that under a tenth of a degree.`,
  ];
}
