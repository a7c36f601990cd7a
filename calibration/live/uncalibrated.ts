import type { AxisModel } from '../axisModel.ts';
import { degree } from '../angle.ts';
import { identity3 } from '../vector.ts';

/**
 * What may be said of a board that was never tumbled: its readings as they come, its x axis taken as the polar axis.
 *
 * Accelerometer: zero-g level +-80 mg at most, +-40 mg typical (ST DocID027765, LSM303AGR, table 3): 2.3 degrees per 40 mg.
 * Clip: askew by up to 10 degrees, about 5 degrees rms (common practice).
 * Magnetometer: iron on and near an uncalibrated board, some 15 microtesla (common practice), against the horizontal field.
 */
export function uncalibratedModel(site: { fieldNt: number; horizontalNt: number; dipRad: number }): AxisModel {
  const plain = { bias: [0, 0, 0], matrix: identity3 } as const;
  const clipRad = 5 * degree;
  const ironNt = 15_000;
  return {
    correction: { accelerometer: plain, magnetometer: plain },
    axisInBoard: [1, 0, 0],
    sigmaAltitudeRad: Math.hypot(0.04, clipRad),
    sigmaMagneticAzimuthRad: Math.min(Math.hypot(ironNt / site.horizontalNt, clipRad), Math.PI / 2),
    fieldNt: site.fieldNt,
    sigmaFieldNt: ironNt,
    dipRad: site.dipRad,
    sigmaDipRad: ironNt / site.fieldNt,
  };
}
