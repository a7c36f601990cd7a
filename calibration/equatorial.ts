import { dot, type Vector3 } from './vector.ts';

/**
 * Frame of a displaced axis: its northern end, the direction a quarter turn from it toward the zenith (hour angle zero)
 * and toward the west (hour angle a quarter turn), all north-east-down.
 */
export function axisFrame(
  altitudeRad: number,
  azimuthRad: number,
): { north: Vector3; meridian: Vector3; west: Vector3 } {
  const [sinA, cosA] = [Math.sin(azimuthRad), Math.cos(azimuthRad)];
  const [sinH, cosH] = [Math.sin(altitudeRad), Math.cos(altitudeRad)];
  return {
    north: [cosH * cosA, cosH * sinA, -sinH],
    meridian: [-sinH * cosA, -sinH * sinA, -cosH],
    west: [sinA, -cosA, 0],
  };
}

/** Hour angle (west positive) and declination of a direction about the true pole of the site. */
export function equatorialOf(starNed: Vector3, latitudeRad: number): { hourAngleRad: number; declinationRad: number } {
  const { north, meridian, west } = axisFrame(latitudeRad, 0);
  const n = dot(starNed, north);
  return {
    hourAngleRad: Math.atan2(dot(starNed, west), dot(starNed, meridian)),
    declinationRad: Math.atan2(n, Math.hypot(dot(starNed, west), dot(starNed, meridian))),
  };
}
