import { wrapPi, wrapTwoPi } from './angle.ts';
import { angleBetweenRad, type Vector3 } from './vector.ts';

/** A direction seen from the site: altitude above the horizon, azimuth from true north through east. */
export interface Horizontal {
  altitudeRad: number;
  azimuthRad: number;
}

export interface PolarErrors {
  /** > 0: the axis points too high. */
  altitudeErrorRad: number;
  /** > 0: the axis points too far east of the elevated pole, in either hemisphere. */
  azimuthErrorRad: number;
  /** Great-circle angle between the axis and the pole, >= 0. */
  distanceRad: number;
}

/** Unit vector north-east-down of a direction. */
export function toNed({ altitudeRad, azimuthRad }: Horizontal): Vector3 {
  const c = Math.cos(altitudeRad);
  return [c * Math.cos(azimuthRad), c * Math.sin(azimuthRad), -Math.sin(altitudeRad)];
}

export function fromNed([north, east, down]: Vector3): Horizontal {
  return { altitudeRad: Math.atan2(-down, Math.hypot(north, east)), azimuthRad: wrapTwoPi(Math.atan2(east, north)) };
}

/** The true (unrefracted) elevated celestial pole of a site: altitude |latitude|, azimuth 0 in the north and pi in the south. */
export const truePole = (latitudeRad: number): Horizontal => ({
  altitudeRad: Math.abs(latitudeRad),
  azimuthRad: latitudeRad >= 0 ? 0 : Math.PI,
});

/**
 * Errors of a polar axis against its target.
 * East of the elevated pole is clockwise seen from above when the pole stands in the north and anticlockwise when it
 * stands in the south, so the azimuth difference changes sign with the hemisphere of the target.
 */
export function polarErrors(axis: Horizontal, pole: Horizontal): PolarErrors {
  const difference = wrapPi(axis.azimuthRad - pole.azimuthRad);
  return {
    altitudeErrorRad: axis.altitudeRad - pole.altitudeRad,
    azimuthErrorRad: Math.cos(pole.azimuthRad) >= 0 ? difference : -difference,
    distanceRad: angleBetweenRad(toNed(axis), toNed(pole)),
  };
}

/** The axis whose errors are given: the inverse of `polarErrors`. */
export const axisWithErrors = (pole: Horizontal, altitudeErrorRad: number, azimuthErrorRad: number): Horizontal => ({
  altitudeRad: pole.altitudeRad + altitudeErrorRad,
  azimuthRad: wrapTwoPi(pole.azimuthRad + (Math.cos(pole.azimuthRad) >= 0 ? azimuthErrorRad : -azimuthErrorRad)),
});
