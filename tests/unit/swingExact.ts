import type { Dwell } from '../../calibration/swing/types.ts';
import { tumbleUnknowns, type TumbleCalibration } from '../../calibration/tumble/types.ts';
import { add, cross, identity3, scale, tangentsOf, dot, type Vector3 } from '../../calibration/vector.ts';
import { toNed } from '../../calibration/polarAxis.ts';

/** A mount and a field that are known exactly; north is magnetic north. */
export interface ExactMount {
  altitudeRad: number;
  magneticAzimuthRad: number;
  fieldNt: number;
  dipRad: number;
  axisInBoard: Vector3;
  /** Hard iron that turns along, in the board. */
  ironNt: Vector3;
}

/** Readings without noise, the board turned about the axis by vectors alone. */
export function exactDwells(mount: ExactMount, rollRad: readonly number[]): Dwell[] {
  const axis = toNed({ altitudeRad: mount.altitudeRad, azimuthRad: mount.magneticAzimuthRad });
  const field: Vector3 = [mount.fieldNt * Math.cos(mount.dipRad), 0, mount.fieldNt * Math.sin(mount.dipRad)];
  const [u, v] = tangentsOf(axis);
  const [one, two] = tangentsOf(mount.axisInBoard);
  return rollRad.map((roll) => {
    const [c, s] = [Math.cos(roll), Math.sin(roll)];
    const turned: Vector3 = add(scale(u, c), scale(v, s));
    const onward: Vector3 = cross(axis, turned);
    const intoBoard = (w: Vector3): Vector3 =>
      add(add(scale(one, dot(w, turned)), scale(two, dot(w, onward))), scale(mount.axisInBoard, dot(w, axis)));
    return {
      accelG: intoBoard([0, 0, -1]),
      fieldNt: add(intoBoard(field), mount.ironNt),
      sigmaAccelG: 0.0003,
      sigmaFieldNt: 40,
      samples: 100,
    };
  });
}

/** A board without errors, whose calibration is known about as well as a good tumble knows it. */
export function exactCalibration(
  { fieldNt, dipRad }: Pick<ExactMount, 'fieldNt' | 'dipRad'>,
  { accelBiasG = 0.0003 }: { accelBiasG?: number } = {},
): TumbleCalibration {
  const { accelMatrix, fieldBias, fieldMatrix, dip, count } = tumbleUnknowns;
  const covariance = new Array<number>(count * count).fill(0);
  for (let i = 0; i < count; i += 1) {
    const sigma =
      i < accelMatrix ? accelBiasG : i < fieldBias ? 0.0003 : i < fieldMatrix ? 60 : i < dip ? 0.001 : 0.0008;
    covariance[i * count + i] = sigma ** 2;
  }
  return {
    correction: {
      accelerometer: { bias: [0, 0, 0], matrix: identity3 },
      magnetometer: { bias: [0, 0, 0], matrix: identity3 },
    },
    covariance,
    fieldNt,
    dipRad,
    sigmaDipRad: 0.0008,
    sigmaHeadingRad: 0.002,
    sigmaTiltRad: 0.0005,
    fieldResidualPercent: 0.5,
    dipSpreadRad: 0.004,
    noise: { accelG: 0.002, fieldNt: 300 },
    samplesUsed: 600,
  };
}
