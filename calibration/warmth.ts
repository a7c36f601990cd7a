import type { AxisModel } from './axisModel.ts';
import { tumbleUnknowns, type TumbleCalibration } from './tumble/types.ts';

/**
 * How far the zero of each axis wanders for a degree of warmth, one sigma: accelerometers 0.2 to 0.5 mg (ST LSM303AGR and
 * InvenSense MPU-6050, datasheets, from memory), magnetometers 3 to 40 nT.
 */
export const driftPerC = { accelG: 0.0003, fieldNt: 20 };

/** The same calibration for a board that is warmer or colder by `changeC` than it was at its tumble: less sure. */
export function calibrationAt(calibration: TumbleCalibration, changeC: number): TumbleCalibration {
  const { accelBias, fieldBias, count } = tumbleUnknowns;
  const [tiltRad, fieldNt] = [driftPerC.accelG * changeC, driftPerC.fieldNt * changeC];
  const covariance = [...calibration.covariance];
  for (let i = 0; i < 3; i += 1) {
    covariance[(accelBias + i) * (count + 1)] += tiltRad ** 2;
    covariance[(fieldBias + i) * (count + 1)] += fieldNt ** 2;
  }
  return {
    ...calibration,
    covariance,
    sigmaTiltRad: Math.hypot(calibration.sigmaTiltRad, Math.SQRT2 * tiltRad),
    sigmaHeadingRad: Math.hypot(calibration.sigmaHeadingRad, headingRad(calibration, tiltRad, fieldNt)),
  };
}

/** What a degree of warmth does to altitude and magnetic azimuth of an axis, one sigma. */
export const axisDriftPerC = (model: AxisModel): { altitudeRad: number; azimuthRad: number } => ({
  altitudeRad: driftPerC.accelG,
  azimuthRad: headingRad(model, driftPerC.accelG, driftPerC.fieldNt),
});

/** A drift of the field across the horizontal field, and the dip times the tilt of the found vertical. */
const headingRad = (field: { fieldNt: number; dipRad: number }, tiltRad: number, fieldNt: number): number =>
  Math.hypot(fieldNt / (field.fieldNt * Math.cos(field.dipRad)), tiltRad * Math.tan(field.dipRad));
