import { degree, wrapPi, wrapTwoPi } from '../../calibration/angle.ts';
import type { Vector3 } from '../../calibration/vector.ts';

export interface Place {
  latitudeRad: number;
  longitudeRad: number;
  elevationM: number;
}

/** What stands in the way: between two azimuths (clockwise from the first to the second) nothing below the altitude is seen. */
interface HiddenSector {
  fromAzimuthRad: number;
  toAzimuthRad: number;
  altitudeRad: number;
  words: string;
}

/** A bolt that moves the polar axis; one turn raises it, or moves it toward east, in either hemisphere. */
export interface BoltMake {
  radPerTurn: number;
  /** Free play between the two directions of turning, turns. */
  backlashTurns: number;
}

/** An invented place with an invented mount. */
export interface Scene {
  name: string;
  /** What a visitor is told: where this is, what hides the pole, and that it is invented. */
  words: string;
  place: Place;
  hidden: readonly HiddenSector[];
  temperatureC: number;
  bolts: { altitude: BoltMake; azimuth: BoltMake };
  /** Largest tilt of the base, and largest first errors of the axis; each set-up draws its own. */
  baseTiltRad: number;
  firstAltitudeErrorRad: number;
  firstAzimuthErrorRad: number;
  /** How far locking a bolt moves the axis, 1 sigma from mount to mount; from one locking to the next it differs by a third of that. */
  lockingShiftRad: number;
  /** How far the weight of tube, counterweights and camera lets the axis sag; each mount draws its own, from half to one and a half of it. */
  loadSagRad: number;
  /** The nearest iron that does not turn: from it to the clipped-on board, north-east-down, and its field there. */
  tripodIron: { separationM: Vector3; fieldNt: number };
  /** A vehicle that may drive up: from it to the board, and its moment. */
  car: { separationM: Vector3; momentAm2: Vector3 };
}

/** Altitude of the skyline by azimuth: the highest of what stands there, which slopes to the horizon within three degrees. */
export function skylineOf({ hidden }: Scene): (azimuthRad: number) => number {
  const heightAt = ({ fromAzimuthRad, toAzimuthRad, altitudeRad }: HiddenSector, azimuthRad: number): number => {
    const halfWidth = wrapTwoPi(toAzimuthRad - fromAzimuthRad) / 2;
    const outside = Math.abs(wrapPi(azimuthRad - fromAzimuthRad - halfWidth)) - halfWidth;
    return altitudeRad * Math.max(0, 1 - Math.max(0, outside) / (3 * degree));
  };
  return (azimuthRad) => Math.max(0, ...hidden.map((sector) => heightAt(sector, azimuthRad)));
}
