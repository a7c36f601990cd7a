import type { AxisModel } from '../axisModel.ts';
import { degree } from '../angle.ts';
import type { SensorCorrection } from '../correction.ts';
import { identity3 } from '../vector.ts';

/** A clip is askew by up to 10 degrees, about 5 degrees rms (common practice). */
const clipRad = 5 * degree;
/** Iron on and near a board that was never tumbled (common practice). */
const ironNt = 15_000;
/** Iron of a mount that a tumble in the hand has not seen (common practice). */
const mountIronNt = 3000;

/**
 * What may be said of a board that was never tumbled: its readings as they come, its x axis taken as the polar axis.
 *
 * Accelerometer: zero-g level +-80 mg at most, +-40 mg typical (ST DocID027765, LSM303AGR, table 3): 2.3 degrees per 40 mg.
 * Magnetometer: iron, against the horizontal field.
 */
export function uncalibratedModel(site: { fieldNt: number; horizontalNt: number; dipRad: number }): AxisModel {
  const plain = { bias: [0, 0, 0], matrix: identity3 } as const;
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

/** A board that was tumbled but not yet swung on this mount: the clip, askew by an unknown angle, is what limits it. */
export function clipOnlyModel(tumble: {
  correction: SensorCorrection;
  sigmaTiltRad: number;
  sigmaHeadingRad: number;
  fieldNt: number;
  dipRad: number;
  sigmaDipRad: number;
}): AxisModel {
  return {
    correction: tumble.correction,
    axisInBoard: [1, 0, 0],
    sigmaAltitudeRad: Math.hypot(tumble.sigmaTiltRad, clipRad),
    sigmaMagneticAzimuthRad: Math.hypot(
      tumble.sigmaHeadingRad,
      clipRad,
      mountIronNt / (tumble.fieldNt * Math.cos(tumble.dipRad)),
    ),
    fieldNt: tumble.fieldNt,
    // iron of the mount was not there at the tumble: it must not be called a disturbance
    sigmaFieldNt: mountIronNt,
    dipRad: tumble.dipRad,
    sigmaDipRad: Math.hypot(tumble.sigmaDipRad, mountIronNt / tumble.fieldNt),
  };
}
