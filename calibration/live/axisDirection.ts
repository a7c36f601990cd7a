import { wrapPi } from '../angle.ts';
import { toNed, type Horizontal, type PolarErrors } from '../polarAxis.ts';
import type { Vector3 } from '../vector.ts';
import type { LevelledReading } from './attitude.ts';

/** What the axis is held against. */
export interface Target {
  pole: Horizontal;
  /** Magnetic variation of the site, positive east, and its standard deviation. */
  variationRad: number;
  sigmaVariationRad: number;
}

/**
 * The estimated direction of the axis: two unit vectors, the horizontal part from magnetic north and sine and cosine of the
 * altitude, so that no angle wraps while they are turned.
 */
export class AxisDirection {
  cosAltitude = 1;
  private north = 1;
  private east = 0;
  private sinAltitude = 0;
  private readonly target: Target;
  private readonly pole: Vector3;
  /** +1 where the pole stands in the north, -1 in the south. */
  private readonly eastward: number;
  private readonly cosVariation: number;
  private readonly sinVariation: number;

  constructor(target: Target) {
    this.target = target;
    this.pole = toNed(target.pole);
    this.eastward = Math.cos(target.pole.azimuthRad) >= 0 ? 1 : -1;
    this.cosVariation = Math.cos(target.variationRad);
    this.sinVariation = Math.sin(target.variationRad);
  }

  set(reading: LevelledReading): void {
    this.north = reading.north;
    this.east = reading.east;
    this.sinAltitude = reading.sinAltitude;
    this.cosAltitude = reading.cosAltitude;
  }

  /** Sine of how far the reading lies above the estimate. */
  sinUpTo(reading: LevelledReading): number {
    return reading.sinAltitude * this.cosAltitude - reading.cosAltitude * this.sinAltitude;
  }

  /** Sine of how far the reading lies toward the east of the estimate; 1 or -1 from a right angle on. */
  sinEastTo(reading: LevelledReading): number {
    const across = this.north * reading.east - this.east * reading.north;
    const along = this.north * reading.north + this.east * reading.east;
    return along > 0 ? across : Math.sign(across);
  }

  raise(stepRad: number): void {
    const sine = this.sinAltitude + this.cosAltitude * stepRad;
    const cosine = Math.max(this.cosAltitude - this.sinAltitude * stepRad, 1e-9);
    const length = Math.sqrt(sine * sine + cosine * cosine);
    this.sinAltitude = sine / length;
    this.cosAltitude = cosine / length;
  }

  swingEast(stepRad: number): void {
    const north = this.north - this.east * stepRad;
    const east = this.east + this.north * stepRad;
    const length = Math.sqrt(north * north + east * east);
    this.north = north / length;
    this.east = east / length;
  }

  /** `polarErrors` against the target, without its cosines and vectors, since this runs for every sample. */
  errorsInto(out: PolarErrors): void {
    const { pole, cosAltitude, sinAltitude } = this;
    // magnetic to true: turned by the variation about the vertical
    const north = this.cosVariation * this.north - this.sinVariation * this.east;
    const east = this.sinVariation * this.north + this.cosVariation * this.east;
    out.altitudeErrorRad = Math.atan2(sinAltitude, cosAltitude) - this.target.pole.altitudeRad;
    out.azimuthErrorRad = this.eastward * wrapPi(Math.atan2(east, north) - this.target.pole.azimuthRad);
    const n = cosAltitude * north - pole[0];
    const e = cosAltitude * east - pole[1];
    const d = -sinAltitude - pole[2];
    // from the chord, which is exact near zero
    out.distanceRad = 2 * Math.asin(Math.min(Math.sqrt(n * n + e * e + d * d) / 2, 1));
  }
}
