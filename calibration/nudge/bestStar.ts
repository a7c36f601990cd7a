import type { AxisErrors } from '../drift/driftModel.ts';
import type { Vector3 } from '../vector.ts';
import { fieldMotion, home, shiftRad, starAfter } from './starAfter.ts';

/** How a star tells the two bolts: what an error of one of reading it makes of the axis on the sky, root of the sum of squares. */
interface StarWorth {
  /** >= about 1.4; the larger, the worse. */
  spread: number;
  /** How far the star moves for one of shift on the sky by each bolt alone. */
  byAltitude: number;
  byAzimuth: number;
  /** Sine of the angle between the directions along which the two bolts move it. */
  apart: number;
}

export function starWorth(starNed: Vector3, latitudeRad: number): StarWorth {
  const [na, nz, ea, ez] = fieldMotion(starNed, latitudeRad);
  const level = Math.cos(latitudeRad);
  const [byAltitude, byAzimuth] = [Math.hypot(na, ea), Math.hypot(nz, ez) / level];
  const determinant = Math.abs(na * ez - nz * ea) / level;
  return {
    spread: Math.hypot(byAltitude, byAzimuth) / determinant,
    byAltitude,
    byAzimuth,
    apart: determinant / (byAltitude * byAzimuth),
  };
}

/**
 * Ranks stars for a nudge, best first: the one whose reading tells most of both bolts, and whose whole way stays in the field
 * where that can be had.
 * @param fieldRadiusRad radius of the field that can be used; Infinity: any
 */
export function rankNudgeStars(
  starsNed: readonly Vector3[],
  latitudeRad: number,
  errors: AxisErrors,
  fieldRadiusRad: number,
): { index: number; worth: StarWorth; shiftRad: number }[] {
  return starsNed
    .map((starNed, index) => ({
      index,
      worth: starWorth(starNed, latitudeRad),
      shiftRad: shiftRad(starAfter(starNed, latitudeRad, errors, home)),
    }))
    .sort((one, other) => rank(one) - rank(other));

  function rank({ worth, shiftRad: way }: { worth: StarWorth; shiftRad: number }): number {
    return worth.spread * Math.max(1, way / fieldRadiusRad);
  }
}
