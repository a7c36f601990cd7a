import { attitudeDerivatives } from '../tumble/propagate.ts';
import { tumbleUnknowns } from '../tumble/types.ts';
import { cross, dot, normalise, scale } from '../vector.ts';
import { quadraticForm, type AdjustedSwing } from './adjustSwing.ts';
import { readingFrame } from './axisSeen.ts';
import { axisOf, correctionOf, ironIndex, tiltIndex } from './model.ts';

const { fieldBias, count } = tumbleUnknowns;

/**
 * Variances of altitude and magnetic azimuth as the needles will show them at the roll of dwell `index`: from the calibration
 * as adjusted, the turning iron and the axis in the board, without the noise of the reading.
 */
export function liveVariance(
  { held, model, adjustment, covariance }: AdjustedSwing,
  index: number,
): { altitude: number; azimuth: number } {
  const { dwell, clipping, sense } = held[index];
  const correction = correctionOf(model.calibrationAt(adjustment.estimate, clipping));
  const axis = scale(axisOf(model.frameAt(adjustment.estimate, clipping)), sense);
  const { north, east, down } = readingFrame(correction, dwell);
  const [n, e, d] = [dot(axis, north), dot(axis, east), dot(axis, down)];
  const level = Math.hypot(n, e);
  const attitude = attitudeDerivatives(correction, dwell.accelG, dwell.fieldNt);
  const altitude = new Float64Array(model.unknowns);
  const azimuth = new Float64Array(model.unknowns);
  // The frame found, turned by w, sees the axis turned by -w.
  for (let k = 0; k < count; k += 1) {
    const [aboutNorth, aboutEast, aboutDown] = [attitude[k], attitude[count + k], attitude[2 * count + k]];
    const byAltitude = (aboutNorth * e - aboutEast * n) / level;
    const byAzimuth = (d * (aboutNorth * n + aboutEast * e)) / level ** 2 - aboutDown;
    model.addCalibrationRow(altitude, k, byAltitude);
    model.addCalibrationRow(azimuth, k, byAzimuth);
    if (k >= fieldBias && k < fieldBias + 3) {
      altitude[ironIndex(clipping) + k - fieldBias] += byAltitude * model.ironUnitNt;
      azimuth[ironIndex(clipping) + k - fieldBias] += byAzimuth * model.ironUnitNt;
    }
  }
  const acrossLevel = normalise(cross(down, axis));
  const upward = cross(acrossLevel, axis);
  model.axisDerivatives(adjustment.estimate, clipping).forEach((change, k) => {
    altitude[tiltIndex(clipping) + k] += sense * dot(change, upward);
    azimuth[tiltIndex(clipping) + k] += (sense * dot(change, acrossLevel)) / level;
  });
  return { altitude: quadraticForm(altitude, covariance), azimuth: quadraticForm(azimuth, covariance) };
}
