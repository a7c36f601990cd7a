import { correct, type SensorCorrection } from '../correction.ts';
import { fromNed, type Horizontal } from '../polarAxis.ts';
import { cross, dot, normalise, scale, type Vector3 } from '../vector.ts';

/** Magnetic north, magnetic east and down in the board's frame, from one reading: by cross products alone. */
export function readingFrame(
  correction: SensorCorrection,
  { accelG, fieldNt }: { accelG: Vector3; fieldNt: Vector3 },
): { north: Vector3; east: Vector3; down: Vector3 } {
  const down = scale(normalise(correct(correction.accelerometer, accelG)), -1);
  const east = normalise(cross(down, correct(correction.magnetometer, fieldNt)));
  return { north: cross(east, down), east, down };
}

/** Altitude and magnetic azimuth of an axis of the board as one reading shows it. */
export function axisSeen(
  correction: SensorCorrection,
  axisInBoard: Vector3,
  reading: { accelG: Vector3; fieldNt: Vector3 },
): Horizontal {
  const { north, east, down } = readingFrame(correction, reading);
  return fromNed([dot(axisInBoard, north), dot(axisInBoard, east), dot(axisInBoard, down)]);
}
