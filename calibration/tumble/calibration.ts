import type { SensorCorrection } from '../correction.ts';
import { apply, vector3, type Matrix3, type Vector3 } from '../vector.ts';
import { spreadAttitudes } from './attitudes.ts';
import type { TumbleEstimate } from './estimate.ts';
import { invariantDifferences } from './invariants.ts';
import { accelMatrixOf, fieldMatrixOf, invert3, scaleMatrix3 } from './matrix.ts';
import { attitudeSigma } from './propagate.ts';
import { tumbleUnknowns, type TumbleCalibration } from './types.ts';

const { accelBias, accelMatrix, fieldBias, fieldMatrix, dip, count } = tumbleUnknowns;

/** The estimate as a calibration, in the units of the fit. */
export function calibrationOf(
  { adjustment, readings, counts, noise }: TumbleEstimate,
  fieldNt: number,
): TumbleCalibration {
  const u = adjustment.estimate;
  const correction: SensorCorrection = {
    accelerometer: { bias: vector3(u, accelBias), matrix: accelMatrixOf(u) },
    magnetometer: { bias: vector3(u, fieldBias), matrix: fieldMatrixOf(u) },
  };
  const covariance = Array.from(adjustment.covariance);
  const differences = invariantDifferences(readings, fieldNt, u);
  return {
    correction,
    covariance,
    fieldNt,
    dipRad: u[dip],
    sigmaDipRad: Math.sqrt(covariance[dip * count + dip]),
    ...sigmaOverAttitudes(correction, covariance, fieldNt, u[dip]),
    fieldResidualPercent: 100 * rmsOf(differences, 1),
    dipSpreadRad: rmsOf(differences, 2),
    noise,
    samplesUsed: counts.reduce((sum, count) => sum + count, 0),
  };
}

/** Rms of invariant `k` (0 gravity, 1 strength, 2 angle). */
export function rmsOf(differences: Float64Array, k: number): number {
  let squared = 0;
  for (let i = k; i < differences.length; i += 3) squared += differences[i] ** 2;
  return Math.sqrt((3 * squared) / differences.length);
}

/** Rms over evenly spread attitudes of what the covariance does to heading and tilt (see `attitudeSigma`). */
export function sigmaOverAttitudes(
  correction: SensorCorrection,
  covariance: readonly number[],
  fieldNt: number,
  dipRad: number,
): { sigmaHeadingRad: number; sigmaTiltRad: number } {
  const { accelerometer, magnetometer } = correction;
  const accelBack = invert3(accelerometer.matrix);
  const fieldBack = scaleMatrix3(invert3(magnetometer.matrix), fieldNt);
  const reading = (back: Matrix3, direction: Vector3, bias: Vector3): Vector3 => {
    const [x, y, z] = apply(back, direction);
    return [x + bias[0], y + bias[1], z + bias[2]];
  };
  let heading = 0;
  let tilt = 0;
  const attitudes = spreadAttitudes(dipRad);
  for (const { up, field } of attitudes) {
    const sigma = attitudeSigma(
      { correction, covariance },
      reading(accelBack, up, accelerometer.bias),
      reading(fieldBack, field, magnetometer.bias),
    );
    heading += sigma.sigmaHeadingRad ** 2 / attitudes.length;
    tilt += sigma.sigmaTiltRad ** 2 / attitudes.length;
  }
  return { sigmaHeadingRad: Math.sqrt(heading), sigmaTiltRad: Math.sqrt(tilt) };
}

/** From the units of the fit (reading * unit) back to those of the readings; `strength` is what a corrected field shall have. */
export function inReadingUnits(
  calibration: TumbleCalibration,
  accelUnit: number,
  fieldUnit: number,
  strength: number,
): TumbleCalibration {
  if (accelUnit === 1 && fieldUnit === 1 && strength === calibration.fieldNt) return calibration;
  const { accelerometer, magnetometer } = calibration.correction;
  const fieldFactor = (fieldUnit * strength) / calibration.fieldNt;
  const factor = new Float64Array(count).fill(1);
  factor.fill(1 / accelUnit, accelBias, accelMatrix);
  factor.fill(accelUnit, accelMatrix, fieldBias);
  factor.fill(1 / fieldUnit, fieldBias, fieldMatrix);
  factor.fill(fieldFactor, fieldMatrix, dip);
  const over = ([x, y, z]: Vector3, unit: number): Vector3 => [x / unit, y / unit, z / unit];
  return {
    ...calibration,
    correction: {
      accelerometer: {
        bias: over(accelerometer.bias, accelUnit),
        matrix: scaleMatrix3(accelerometer.matrix, accelUnit),
      },
      magnetometer: {
        bias: over(magnetometer.bias, fieldUnit),
        matrix: scaleMatrix3(magnetometer.matrix, fieldFactor),
      },
    },
    covariance: calibration.covariance.map((value, i) => value * factor[Math.floor(i / count)] * factor[i % count]),
    fieldNt: strength,
    noise: { accelG: calibration.noise.accelG / accelUnit, fieldNt: calibration.noise.fieldNt / fieldUnit },
  };
}
