import type { AxisErrors } from '../drift/driftModel.ts';
import type { Matrix2 } from '../matrix2.ts';

/**
 * Distance from the pole that is to be expected: root of the mean of its square, from the errors and what is not known of them.
 * @param covariance row-major 2 x 2 of altitude and azimuth error
 */
export function expectedDistanceRad(
  { altitudeErrorRad, azimuthErrorRad }: AxisErrors,
  covariance: Matrix2,
  latitudeRad: number,
): number {
  const level = Math.cos(latitudeRad) ** 2;
  return Math.sqrt(altitudeErrorRad ** 2 + covariance[0] + level * (azimuthErrorRad ** 2 + covariance[3]));
}
