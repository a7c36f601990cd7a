import type { AxisErrors } from '../drift/driftModel.ts';
import type { Matrix2 } from '../matrix2.ts';

/** Of the integral's variable, the logarithm of s: beyond, nothing is left that counts; an analytic integrand needs no finer steps. */
const [farthest, step] = [40, 0.5];

/**
 * Distance from the pole that is to be expected, the mean over all that the errors and their covariance allow. By the gamma
 * function, d = 1 / (2 sqrt pi) x the integral of (1 - exp(-s d^2)) s^(-3/2) ds over s > 0 (NIST Digital Library of Mathematical
 * Functions, 5.9.5); the mean of exp(-s d^2) is the moment generating function of a quadratic form in normal variables.
 * @param covariance row-major 2 x 2 of altitude and azimuth error
 */
export function expectedDistanceRad(
  { altitudeErrorRad, azimuthErrorRad }: AxisErrors,
  [aa, az, , zz]: Matrix2,
  latitudeRad: number,
): number {
  const level = Math.cos(latitudeRad);
  const square = altitudeErrorRad ** 2 + aa + level ** 2 * (azimuthErrorRad ** 2 + zz);
  if (square === 0) return 0;
  let integral = 0;
  for (let logarithm = -farthest; logarithm <= farthest; logarithm += step) {
    const s = Math.exp(logarithm) / square;
    const [a, b, z] = [1 + 2 * s * aa, 2 * s * level * az, 1 + 2 * s * level ** 2 * zz];
    const determinant = a * z - b * b;
    const [x, y] = [altitudeErrorRad, level * azimuthErrorRad];
    const exponent = (s * (z * x * x - 2 * b * x * y + a * y * y)) / determinant;
    integral += (1 - Math.exp(-exponent) / Math.sqrt(determinant)) * Math.exp(-logarithm / 2) * step;
  }
  return (Math.sqrt(square) * integral) / (2 * Math.sqrt(Math.PI));
}
