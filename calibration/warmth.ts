import type { AxisModel } from './axisModel.ts';
import { tumbleUnknowns, type TumbleCalibration } from './tumble/types.ts';

/**
 * How far the zero of each axis wanders for a degree of warmth, one sigma: accelerometers 0.2 to 0.5 mg (ST LSM303AGR and
 * InvenSense MPU-6050, datasheets, from memory), magnetometers 3 to 40 nT.
 */
export const driftPerC = { accelG: 0.0003, fieldNt: 20 };

/** Where a board has no thermometer: what a clear evening cools in an hour, and how far one night's warmth is from another's (common practice). */
const untold = { perHourC: 2, mostC: 10 };
/** And what a board warms itself by in its first minutes. */
export const ownWarmthC = 1;

/** How much the warmth of a board without a thermometer has changed in a time, one sigma. */
export const untoldChangeC = (ageS: number): number =>
  Math.min((Math.max(ageS, 0) / 3600) * untold.perHourC, untold.mostC);

/** The same model for a board that is warmer or colder by `changeC`: less sure. */
export function axisModelAt(model: AxisModel, changeC: number): AxisModel {
  const { altitudeRad, azimuthRad } = axisDriftPerC(model);
  return {
    ...model,
    sigmaAltitudeRad: Math.hypot(model.sigmaAltitudeRad, altitudeRad * changeC),
    sigmaMagneticAzimuthRad: Math.hypot(model.sigmaMagneticAzimuthRad, azimuthRad * changeC),
  };
}

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
