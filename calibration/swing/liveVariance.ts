import { tumbleUnknowns } from '../tumble/types.ts';
import { apply, cross, dot, inverse, multiply, norm, normalise, scale, subtract, type Vector3 } from '../vector.ts';
import { correct } from '../correction.ts';
import { quadraticForm, type AdjustedSwing } from './adjustSwing.ts';
import { readingFrame } from './axisSeen.ts';
import { axisOf } from './frame.ts';
import { correctionOf, plusIdentity } from './numbers.ts';
import { ironIndex, softIronIndex, symmetric, tiltIndex } from './unknowns.ts';

const { accelBias, accelMatrix, fieldBias, fieldMatrix } = tumbleUnknowns;

/**
 * Variances of altitude and magnetic azimuth as the needles will show them at the roll of dwell `index`: from the calibration
 * as adjusted, the turning iron and the axis in the board, without the noise of the reading.
 */
export function liveVariance(
  { held, model, adjustment, covariance }: AdjustedSwing,
  index: number,
): { altitude: number; azimuth: number } {
  const { estimate } = adjustment;
  const { dwell, clipping, sense } = held[index];
  const whole = model.correctionAt(estimate, clipping);
  const axis = scale(axisOf(model.frameAt(estimate, clipping)), sense);
  const { north, east, down } = readingFrame(whole, dwell);
  const field = correct(whole.magnetometer, dwell.fieldNt);
  const gravity = norm(correct(whole.accelerometer, dwell.accelG));
  const [horizontal, vertical] = [dot(field, north), dot(field, down)];
  const [n, e, d] = [dot(axis, north), dot(axis, east), dot(axis, down)];
  const level = Math.hypot(n, e);

  // The frame found, turned by w, sees the axis turned by -w (w as in `attitudeDerivatives` of the tumble).
  const byAccel = (change: Vector3): [number, number] => {
    const [aboutNorth, aboutEast] = [dot(change, east) / gravity, -dot(change, north) / gravity];
    return [
      (aboutNorth * e - aboutEast * n) / level,
      (d * (aboutNorth * n + aboutEast * e)) / level ** 2 - (aboutNorth * vertical) / horizontal,
    ];
  };
  const byField = (change: Vector3): [number, number] => [0, -dot(change, east) / horizontal];

  const altitude = new Float64Array(model.unknowns);
  const azimuth = new Float64Array(model.unknowns);
  const addNumber = (number: number, [up, around]: [number, number]): void => {
    model.addCalibrationRow(altitude, number, up);
    model.addCalibrationRow(azimuth, number, around);
  };
  const addUnknown = (unknown: number, [up, around]: [number, number]): void => {
    altitude[unknown] += up;
    azimuth[unknown] += around;
  };
  const { accelerometer, magnetometer } = correctionOf(model.calibrationAt(estimate));
  const accelOff = subtract(dwell.accelG, accelerometer.bias);
  const fieldOff = subtract(dwell.fieldNt, magnetometer.bias);
  const unironed = inverse(plusIdentity(model.ironAt(estimate, clipping).soft));
  const fieldByBias = multiply(unironed, magnetometer.matrix);
  for (let i = 0; i < 3; i += 1) {
    const unit: Vector3 = [i === 0 ? 1 : 0, i === 1 ? 1 : 0, i === 2 ? 1 : 0];
    const unironedUnit = apply(unironed, unit);
    addNumber(accelBias + i, byAccel(scale(apply(accelerometer.matrix, unit), -1)));
    addNumber(fieldBias + i, byField(scale(apply(fieldByBias, unit), -1)));
    addUnknown(ironIndex(clipping) + i, byField(scale(unironedUnit, -model.ironUnitNt)));
    for (let j = 0; j < 3; j += 1) {
      addNumber(accelMatrix + symmetric[3 * i + j], byAccel(scale(unit, accelOff[j])));
      addNumber(fieldMatrix + 3 * i + j, byField(scale(unironedUnit, fieldOff[j])));
      addUnknown(softIronIndex(clipping) + symmetric[3 * i + j], byField(scale(unironedUnit, -field[j])));
    }
  }
  const acrossLevel = normalise(cross(down, axis));
  const upward = cross(acrossLevel, axis);
  model.axisDerivatives(estimate, clipping).forEach((change, k) => {
    addUnknown(tiltIndex(clipping) + k, [sense * dot(change, upward), (sense * dot(change, acrossLevel)) / level]);
  });
  return { altitude: quadraticForm(altitude, covariance), azimuth: quadraticForm(azimuth, covariance) };
}
