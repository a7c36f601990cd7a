import type { Vector3 } from '../vector.ts';

/** One reading in time; a `BoardSample` fits. */
export interface TimedReading {
  boardS: number;
  accelG: Vector3;
  fieldNt: Vector3;
  temperatureC?: number;
}
