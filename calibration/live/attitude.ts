import type { SensorCorrection } from '../correction.ts';
import type { Matrix3, Vector3 } from '../vector.ts';

/** One reading turned level: where a direction fixed in the board points, and what the field is like. */
export interface LevelledReading {
  /** The direction's horizontal part as a unit vector: magnetic north, magnetic east. */
  north: number;
  east: number;
  /** Sine and cosine of the direction's altitude; the cosine is never negative. */
  sinAltitude: number;
  cosAltitude: number;
  /** Length of the corrected acceleration, g. */
  gravityG: number;
  fieldNt: number;
  horizontalNt: number;
  dipRad: number;
  /** Unit vector upward in the board's frame. */
  upX: number;
  upY: number;
  upZ: number;
}

export const emptyReading = (): LevelledReading => ({
  north: 0,
  east: 0,
  sinAltitude: 0,
  cosAltitude: 0,
  gravityG: 0,
  fieldNt: 0,
  horizontalNt: 0,
  dipRad: 0,
  upX: 0,
  upY: 0,
  upZ: 0,
});

/**
 * Levels a raw reading with cross products, no Euler angles: down = -a/|a|, east = down x f, north = east x down
 * (the tilt-compensated compass of ST DT0058 without its singular angles).
 * Writes into `out`, so that nothing is allocated at the board's rate.
 * @param accelG raw accelerometer, g, board frame, +1 g on the axis that points up
 * @param fieldNt raw magnetometer, nT, board frame
 * @param direction unit vector in the board's frame
 * @returns false, and leaves `out` unusable, when gravity or the horizontal field is missing or not finite
 */
export function level(
  accelG: Vector3,
  fieldNt: Vector3,
  { accelerometer, magnetometer }: SensorCorrection,
  direction: Vector3,
  out: LevelledReading,
): boolean {
  const ma: Matrix3 = accelerometer.matrix;
  const ax = accelG[0] - accelerometer.bias[0];
  const ay = accelG[1] - accelerometer.bias[1];
  const az = accelG[2] - accelerometer.bias[2];
  const ux = ma[0] * ax + ma[1] * ay + ma[2] * az;
  const uy = ma[3] * ax + ma[4] * ay + ma[5] * az;
  const uz = ma[6] * ax + ma[7] * ay + ma[8] * az;
  const gravity = Math.sqrt(ux * ux + uy * uy + uz * uz);

  const mm: Matrix3 = magnetometer.matrix;
  const bx = fieldNt[0] - magnetometer.bias[0];
  const by = fieldNt[1] - magnetometer.bias[1];
  const bz = fieldNt[2] - magnetometer.bias[2];
  const fx = mm[0] * bx + mm[1] * by + mm[2] * bz;
  const fy = mm[3] * bx + mm[4] * by + mm[5] * bz;
  const fz = mm[6] * bx + mm[7] * by + mm[8] * bz;

  const dx = -ux / gravity;
  const dy = -uy / gravity;
  const dz = -uz / gravity;
  // down x field: length is the horizontal field, direction is magnetic east
  const ex = dy * fz - dz * fy;
  const ey = dz * fx - dx * fz;
  const ez = dx * fy - dy * fx;
  const horizontal = Math.sqrt(ex * ex + ey * ey + ez * ez);
  if (!(gravity > 1e-6 && horizontal > 1e-3 && gravity < Infinity && horizontal < Infinity)) return false;
  const vertical = dx * fx + dy * fy + dz * fz;

  const [nx, ny, nz] = direction;
  const east = (nx * ex + ny * ey + nz * ez) / horizontal;
  // north = east x down
  const north = (nx * (ey * dz - ez * dy) + ny * (ez * dx - ex * dz) + nz * (ex * dy - ey * dx)) / horizontal;
  const across = Math.max(Math.sqrt(north * north + east * east), 1e-9);
  out.north = north / across;
  out.east = east / across;
  out.sinAltitude = -(nx * dx + ny * dy + nz * dz);
  out.cosAltitude = across;
  out.gravityG = gravity;
  out.fieldNt = Math.sqrt(horizontal * horizontal + vertical * vertical);
  out.horizontalNt = horizontal;
  out.dipRad = Math.atan2(vertical, horizontal);
  out.upX = -dx;
  out.upY = -dy;
  out.upZ = -dz;
  return true;
}
