import type { Vector3 } from '../../calibration/vector.ts';

/** One decoded sample in the board's frame and physical units, before any calibration. */
export interface BoardSample {
  /** Monotonic host time of arrival, seconds. */
  arrivalS: number;
  /** The board's clock, unwrapped, seconds since the first sample. */
  boardS: number;
  /** Unwrapped sequence number; a gap means lost samples. */
  sequence: number;
  accelG: Vector3;
  fieldNt: Vector3;
  rateDps?: Vector3;
  /** Absent where the board has no thermometer. */
  temperatureC?: number;
}
