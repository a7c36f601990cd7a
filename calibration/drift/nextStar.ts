import type { Vector3 } from '../vector.ts';
import { driftRates } from './driftModel.ts';

export interface DriftExpectation {
  index: number;
  /** What would stay unknown of the axis on the sky after watching this star, root mean square, radians. */
  sigmaAfterRad: number;
  /** What its drift tells most: near the meridian the azimuth, toward east or west the altitude. */
  tells: 'azimuth' | 'altitude' | 'both';
}

/**
 * Ranks stars by how far a watch of each would shrink what is not known of the axis.
 * @param axisCovariance row-major 2 x 2 of altitude and azimuth error so far
 * @param sigmaRateRadPerS of the line that the watch will give
 */
export function rankDriftStars(
  axisCovariance: readonly [number, number, number, number],
  latitudeRad: number,
  starsNed: readonly Vector3[],
  sigmaRateRadPerS: number,
): DriftExpectation[] {
  const [aa, ax, , xx] = axisCovariance;
  const squaredCos = Math.cos(latitudeRad) ** 2;
  return starsNed
    .map((starNed, index): DriftExpectation => {
      const { byAltitude: h, byAzimuth: k } = driftRates(starNed, latitudeRad);
      const gainA = aa * h + ax * k;
      const gainX = ax * h + xx * k;
      const innovation = h * gainA + k * gainX + sigmaRateRadPerS ** 2;
      const left = aa - gainA ** 2 / innovation + (xx - gainX ** 2 / innovation) * squaredCos;
      const onSky = Math.abs(k) / Math.cos(latitudeRad);
      const tells = Math.abs(h) > 2 * onSky ? 'altitude' : onSky > 2 * Math.abs(h) ? 'azimuth' : 'both';
      return { index, sigmaAfterRad: Math.sqrt(Math.max(left, 0)), tells };
    })
    .sort((a, b) => a.sigmaAfterRad - b.sigmaAfterRad);
}
