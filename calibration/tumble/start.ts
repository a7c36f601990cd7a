import { fitEllipsoid, fitSphere } from '../ellipsoid.ts';
import { determinant, identity3, multiply, type Matrix3, type Vector3 } from '../vector.ts';
import { matchFrames, nominalOrientation, type FrameMatch } from './frames.ts';
import type { Readings } from './invariants.ts';
import { scaleMatrix3 } from './matrix.ts';
import { sensorPart } from './readings.ts';
import { tumbleUnknowns, type SiteField } from './types.ts';

const { fieldBias, fieldMatrix, dip, count } = tumbleUnknowns;

export interface TumbleStart {
  /** Starts to try, all of them sane. */
  candidates: Float64Array[];
  /** Strength that corrected readings shall have. */
  fieldNt: number;
  /** The middle of the magnetometer's prior: a turn between axes times a scale. */
  nominal: Matrix3;
  frames: FrameMatch;
  /** Strength as the readings have it, nT. */
  radiusNt: number;
}

/** Sphere, ellipsoid and frame match as starts; undefined when the field's readings lie in a plane. */
export function startTumble(readings: Readings, site: SiteField | undefined): TumbleStart | undefined {
  const accel = sensorPart(readings, 0);
  const field = sensorPart(readings, 3);
  const sphere = fitSphere(field);
  if (!sphere) return undefined;
  const accelEllipsoid = fitEllipsoid(accel);
  const fieldEllipsoid = fitEllipsoid(field);
  const ups = corrected(accel, accelEllipsoid?.bias ?? [0, 0, 0], accelEllipsoid?.matrix ?? identity3);
  const flats = fieldEllipsoid
    ? corrected(field, fieldEllipsoid.bias, fieldEllipsoid.matrix)
    : corrected(field, sphere.centre, identity3);
  const frames = matchFrames(ups, flats, site && Math.sign(site.dipRad));
  const orientation = nominalOrientation(frames);
  const radiusNt = fieldEllipsoid ? 1 / Math.cbrt(determinant(fieldEllipsoid.matrix)) : sphere.radius;
  const fieldNt = site?.fieldNt ?? radiusNt;

  const dipRad = site?.dipRad ?? Math.asin(frames.sineDip);
  const candidates: Float64Array[] = [];
  const add = (accelBias: Vector3, accelBy: Matrix3, bias: Vector3, matrix: Matrix3): void => {
    const [xx, xy, xz, , yy, yz, , , zz] = accelBy;
    const start = new Float64Array(count);
    start.set([...accelBias, xx, xy, xz, yy, yz, zz]);
    start.set(bias, fieldBias);
    start.set(matrix, fieldMatrix);
    start[dip] = dipRad;
    candidates.push(start);
  };
  add([0, 0, 0], identity3, sphere.centre, scaleMatrix3(orientation, fieldNt / sphere.radius));
  if (fieldEllipsoid) {
    const shape = scaleMatrix3(fieldEllipsoid.matrix, fieldNt);
    add([0, 0, 0], identity3, fieldEllipsoid.bias, multiply(orientation, shape));
    const turned = multiply(frames.turn, shape);
    add([0, 0, 0], identity3, fieldEllipsoid.bias, turned);
    if (accelEllipsoid) add(accelEllipsoid.bias, accelEllipsoid.matrix, fieldEllipsoid.bias, turned);
  }
  return { candidates, fieldNt, nominal: orientation, frames, radiusNt };
}

/** Unit vectors of the corrected readings. */
function corrected(flat: Float64Array, bias: Vector3, m: Matrix3): Float64Array {
  const unit = new Float64Array(flat.length);
  for (let i = 0; i < flat.length; i += 3) {
    const [x, y, z] = [flat[i] - bias[0], flat[i + 1] - bias[1], flat[i + 2] - bias[2]];
    for (let k = 0; k < 3; k += 1) unit[i + k] = m[3 * k] * x + m[3 * k + 1] * y + m[3 * k + 2] * z;
    const length = Math.hypot(unit[i], unit[i + 1], unit[i + 2]);
    for (let k = 0; k < 3; k += 1) unit[i + k] /= length;
  }
  return unit;
}
