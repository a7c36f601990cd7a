import { wrapPi } from '../angle.ts';
import type { MeasurementModel } from '../adjust.ts';
import { altitudeError, azimuthError, predictedRoll, unknownCount, type Sight } from './sightModel.ts';

/** What may have happened beside sights as they should be. */
export interface SightSlip {
  /** The axis may have shifted before this sight; the errors found are then those since. */
  movedFrom?: number;
  /** This sight tells nothing of its star, only of the level. */
  leftOut?: number;
}

interface Level {
  altitudeRad: number;
  sigmaRad: number;
  isLater: boolean;
  movedRad: number;
}

/** Which unknowns stand beside the usual ones, and what was read of the level. */
export interface SightLayout {
  /** First of the two unknowns of a shift; none when the axis has stood still. */
  shift?: number;
  /** The unknown of the board's level; none when no sight has one. */
  offset?: number;
  unknowns: number;
  levels: readonly Level[];
}

export function sightLayout(sights: readonly Sight[], { movedFrom = Infinity }: SightSlip): SightLayout {
  const levels = sights.flatMap(({ level, moved }, index) =>
    level ? [{ ...level, isLater: index >= movedFrom, movedRad: moved?.altitudeRad ?? 0 }] : [],
  );
  const shift = movedFrom < sights.length ? unknownCount : undefined;
  const afterShift = unknownCount + (shift === undefined ? 0 : 2);
  const offset = levels.length > 0 ? afterShift : undefined;
  return { shift, offset, levels, unknowns: afterShift + (offset === undefined ? 0 : 1) };
}

/** Rolls first, then levels, each over its own sigma. */
export function sightProblem(
  sights: readonly Sight[],
  latitudeRad: number,
  { movedFrom = Infinity, leftOut }: SightSlip,
  { shift, offset, unknowns, levels }: SightLayout,
): MeasurementModel {
  const gradient = new Float64Array(unknownCount);
  const later = new Float64Array(unknownCount);
  return {
    unknowns,
    residuals: sights.length + levels.length,
    evaluate(unknown, residual, jacobian) {
      later.set(unknown.subarray(0, unknownCount));
      if (shift !== undefined) {
        later[altitudeError] += unknown[shift];
        later[azimuthError] += unknown[shift + 1];
      }
      sights.forEach((sight, i) => {
        if (i === leftOut) return;
        const isLater = i >= movedFrom;
        const predicted = predictedRoll(sight, latitudeRad, isLater ? later : unknown, gradient);
        const row = i * unknowns;
        residual[i] = wrapPi(sight.rollRad - predicted) / sight.sigmaRad;
        for (let j = 0; j < unknownCount; j += 1) jacobian[row + j] = -gradient[j] / sight.sigmaRad;
        if (!isLater || shift === undefined) return;
        jacobian[row + shift] = jacobian[row + altitudeError];
        jacobian[row + shift + 1] = jacobian[row + azimuthError];
      });
      if (offset === undefined) return;
      levels.forEach(({ altitudeRad, sigmaRad, isLater, movedRad }, i) => {
        const at = (isLater ? later : unknown)[altitudeError] + movedRad + unknown[offset];
        residual[sights.length + i] = (altitudeRad - Math.abs(latitudeRad) - at) / sigmaRad;
        const row = (sights.length + i) * unknowns;
        jacobian[row + altitudeError] = jacobian[row + offset] = -1 / sigmaRad;
        if (isLater && shift !== undefined) jacobian[row + shift] = -1 / sigmaRad;
      });
    },
  };
}
