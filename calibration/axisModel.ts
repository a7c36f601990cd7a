import type { SensorCorrection } from './correction.ts';
import type { Vector3 } from './vector.ts';

/** All that turns raw samples of a clipped-on board into a direction of the polar axis. */
export interface AxisModel {
  correction: SensorCorrection;
  /** Unit vector of the polar axis, toward the elevated pole, in the board's frame. */
  axisInBoard: Vector3;
  /** Systematic standard deviations of the axis' altitude and magnetic azimuth; the variation's own is not in them. */
  sigmaAltitudeRad: number;
  sigmaMagneticAzimuthRad: number;
  /** Field strength and dip that the corrected samples should show at this site, and how well that is known. */
  fieldNt: number;
  sigmaFieldNt: number;
  dipRad: number;
  sigmaDipRad: number;
  /** Of the board when the model was made: warmer or colder it is less sure. */
  temperatureC?: number;
}
