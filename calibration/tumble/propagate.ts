import { apply, cross, dot, norm, normalise, scale, subtract, type Vector3 } from '../vector.ts';
import type { SensorCorrection } from '../correction.ts';
import { tumbleUnknowns, type TumbleCalibration } from './types.ts';

const { accelBias, accelMatrix, fieldBias, fieldMatrix, count } = tumbleUnknowns;
const symmetricElements = [
  [0, 0],
  [0, 1],
  [0, 2],
  [1, 1],
  [1, 2],
  [2, 2],
] as const;

/**
 * First-order error of the attitude found from one reading, as a small rotation about magnetic north, magnetic east and down,
 * by the 22 unknowns: row-major 3 x 22, radians per unit. A positive third row lowers every azimuth by as much; the first
 * two are tilt.
 *
 * With up u and field f corrected, down d = -u, east e = d x f / |d x f|, north n = e x d. A rotation w of the found frame
 * gives du = w x u, so w_north = du . e and w_east = -du . n; keeping the field in the found meridian, w_down = (w_north f_d + df . e) / f_n.
 */
export function attitudeDerivatives(correction: SensorCorrection, accelG: Vector3, fieldNt: Vector3): Float64Array {
  const { accelerometer, magnetometer } = correction;
  const accelOff = subtract(accelG, accelerometer.bias);
  const fieldOff = subtract(fieldNt, magnetometer.bias);
  const accel = apply(accelerometer.matrix, accelOff);
  const field = apply(magnetometer.matrix, fieldOff);
  const gravity = norm(accel);
  const down = scale(accel, -1 / gravity);
  const east = normalise(cross(down, field));
  const north = cross(east, down);
  const horizontal = dot(field, north);
  const vertical = dot(field, down);

  const rows = new Float64Array(3 * count);
  const byAccel = (unknown: number, change: Vector3): void => {
    const aboutNorth = dot(change, east) / gravity;
    rows[unknown] = aboutNorth;
    rows[count + unknown] = -dot(change, north) / gravity;
    rows[2 * count + unknown] = (aboutNorth * vertical) / horizontal;
  };
  const byField = (unknown: number, change: Vector3): void => {
    rows[2 * count + unknown] = dot(change, east) / horizontal;
  };
  for (let i = 0; i < 3; i += 1) {
    byAccel(accelBias + i, column(accelerometer.matrix, i, -1));
    byField(fieldBias + i, column(magnetometer.matrix, i, -1));
    for (let j = 0; j < 3; j += 1) byField(fieldMatrix + 3 * i + j, unit(i, fieldOff[j]));
  }
  symmetricElements.forEach(([i, j], k) => {
    const change: [number, number, number] = [0, 0, 0];
    change[i] = accelOff[j];
    change[j] = accelOff[i];
    byAccel(accelMatrix + k, change);
  });
  return rows;
}

interface AttitudeSigma {
  /** Rows and columns: about magnetic north, magnetic east, down; row-major 3 x 3, rad^2. */
  covariance: Float64Array;
  sigmaHeadingRad: number;
  /** Rms angle between the true and the found vertical. */
  sigmaTiltRad: number;
}

/** What the calibration's covariance does to the attitude found from one (raw) reading. */
export function attitudeSigma(
  calibration: Pick<TumbleCalibration, 'correction' | 'covariance'>,
  accelG: Vector3,
  fieldNt: Vector3,
): AttitudeSigma {
  const rows = attitudeDerivatives(calibration.correction, accelG, fieldNt);
  const covariance = new Float64Array(9);
  const product = new Float64Array(count);
  for (let i = 0; i < 3; i += 1) {
    for (let k = 0; k < count; k += 1) {
      let sum = 0;
      for (let j = 0; j < count; j += 1) sum += rows[i * count + j] * calibration.covariance[j * count + k];
      product[k] = sum;
    }
    for (let l = 0; l < 3; l += 1) {
      let sum = 0;
      for (let k = 0; k < count; k += 1) sum += product[k] * rows[l * count + k];
      covariance[i * 3 + l] = sum;
    }
  }
  return {
    covariance,
    sigmaHeadingRad: Math.sqrt(covariance[8]),
    sigmaTiltRad: Math.sqrt(covariance[0] + covariance[4]),
  };
}

function column([a, b, c, d, e, f, g, h, i]: readonly number[], index: number, factor: number): Vector3 {
  const picked = index === 0 ? [a, d, g] : index === 1 ? [b, e, h] : [c, f, i];
  return [picked[0] * factor, picked[1] * factor, picked[2] * factor];
}

function unit(index: number, length: number): Vector3 {
  return index === 0 ? [length, 0, 0] : index === 1 ? [0, length, 0] : [0, 0, length];
}
