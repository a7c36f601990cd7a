import type { MeasurementModel } from '../adjust.ts';
import type { Vector3 } from '../vector.ts';

/** Corrected field at one spacer length, in a frame that does not turn from one length to the next. */
export interface StandoffReading {
  spacerM: number;
  fieldNt: Vector3;
  sigmaFieldNt: number;
}

/** Unknowns: far field (3, nT), iron's field without a spacer (3, nT), natural logarithm of its distance in metres. */
export const standoffUnknowns = { far: 0, iron: 3, logDistance: 6, count: 7 } as const;

/**
 * Iron straight below a board on a spacer: a dipole, whose field keeps its direction along the line and falls with the third
 * power of the distance (Jackson, Classical Electrodynamics, section 5.6): field = far + iron (r / (r + spacer))^3.
 */
export function standoffModel(readings: readonly StandoffReading[]): MeasurementModel {
  const n = standoffUnknowns.count;
  return {
    unknowns: n,
    residuals: 3 * readings.length,
    evaluate(unknown, residual, jacobian) {
      const distanceM = Math.exp(unknown[standoffUnknowns.logDistance]);
      readings.forEach(({ spacerM, fieldNt, sigmaFieldNt }, index) => {
        const share = (distanceM / (distanceM + spacerM)) ** 3;
        const shareByLog = (3 * share * spacerM) / (distanceM + spacerM);
        for (let i = 0; i < 3; i += 1) {
          const row = 3 * index + i;
          const iron = unknown[standoffUnknowns.iron + i];
          residual[row] = (fieldNt[i] - unknown[standoffUnknowns.far + i] - iron * share) / sigmaFieldNt;
          jacobian[row * n + standoffUnknowns.far + i] = -1 / sigmaFieldNt;
          jacobian[row * n + standoffUnknowns.iron + i] = -share / sigmaFieldNt;
          jacobian[row * n + standoffUnknowns.logDistance] = (-iron * shareByLog) / sigmaFieldNt;
        }
      });
    },
  };
}

/** Share of the iron's field that a spacer leaves. */
export const shareLeft = (distanceM: number, spacerM: number): number => (distanceM / (distanceM + spacerM)) ** 3;
