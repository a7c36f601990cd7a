import { degree } from '../../calibration/angle.ts';
import { identity3 } from '../../calibration/vector.ts';

const correction = { bias: [0, 0, 0], matrix: identity3 } as const;

/** An axis model of perfect sensors with the axis along x: readings are what they say. */
export const plainAxisModel = {
  correction: { accelerometer: correction, magnetometer: correction },
  axisInBoard: [1, 0, 0],
  sigmaAltitudeRad: 0.001,
  sigmaMagneticAzimuthRad: 0.003,
  fieldNt: 54_000,
  sigmaFieldNt: 100,
  dipRad: 65 * degree,
  sigmaDipRad: 0.002,
} as const;
