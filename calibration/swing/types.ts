import type { AxisModel } from '../axisModel.ts';
import type { Gate } from '../gate.ts';
import type { Horizontal, PolarErrors } from '../polarAxis.ts';
import type { SiteField } from '../tumble/types.ts';
import type { Vector3 } from '../vector.ts';

/** Mean of the readings while the axis rested at one place, in the board's frame, before any calibration. */
export interface Dwell {
  accelG: Vector3;
  fieldNt: Vector3;
  /** Standard deviations of the means, per axis. */
  sigmaAccelG: number;
  sigmaFieldNt: number;
  samples: number;
  /** The board's clock; absent where samples stand alone. */
  fromS?: number;
  toS?: number;
  temperatureC?: number;
}

/** Dwells of one way of clipping the board to the mount; a second face is the same swing after an end-for-end reversal. */
export type Face = readonly Dwell[];

/** What is known of the site, magnetic model included, with its one-sigma. */
export interface SwingSite extends SiteField {
  pole: Horizontal;
  /** East positive. */
  variationRad: number;
  sigmaVariationRad: number;
}

export interface SwingOptions {
  site?: SwingSite;
  /** Board direction that points roughly toward the elevated pole: decides the sense where no site does. */
  toward?: Vector3;
  /** One-sigma of what may have changed between the tumble in the hand and the swing on the mount. */
  change?: Partial<PlaceChange>;
}

export interface PlaceChange {
  /** Hard iron that turns with the board: each component. */
  turnAlongIronNt: number;
  /** Soft iron that turns with the board: each element of what it adds to the unit matrix. */
  turnAlongMatrix: number;
  /** Accelerometer bias: each component. */
  accelBiasG: number;
  /** What that bias wanders by in the course of the swing, so that no fit of the swing sees it. */
  creepG: number;
  /** The field at the mount against that at the place of the tumble: each component. */
  placeFieldNt: number;
}

/** One component circle of a swing, seen along the axis; x and y are board directions perpendicular to it. */
export interface SwingCircle {
  points: readonly (readonly [number, number])[];
  centre: readonly [number, number];
  radius: number;
}

export interface SwingResult {
  accepted: boolean;
  gates: readonly Gate[];
  /** Unit vector of the polar axis toward the elevated pole, in the board's frame as clipped last. */
  axisInBoard: Vector3;
  /** Standard deviation of `axisInBoard` in any direction across it. */
  sigmaAxisInBoardRad: number;
  axisAltitudeRad: number;
  /** From magnetic north through east, 0 .. 2 pi. */
  axisMagneticAzimuthRad: number;
  /** Row-major 2 x 2 of axis altitude and magnetic azimuth, rad^2, iron about the place included; the variation is not in it. */
  covariance: readonly number[];
  /** What iron about the place may do to the azimuth, one sigma; a stand-off that measured that iron takes its place. */
  sigmaPlaceAzimuthRad: number;
  /** Rms angle between the axis as each dwell alone shows it and their mean direction. */
  spreadRad: number;
  /** The same, azimuth (times cos altitude) and altitude apart. */
  spreadAzimuthRad: number;
  spreadAltitudeRad: number;
  /** Roll angle from the first to the last dwell, the largest gap left out. */
  arcRad: number;
  /** Roll of each dwell about the axis, radians, any zero; in the order given. */
  rollRad: readonly number[];
  /** Field of the iron that turns with the axis, at the board, in the board's frame as clipped last. */
  turnAlongIronNt: Vector3;
  /** Gravity in g and field in nT, with the tumble's correction only: turning iron shows as a shifted centre. */
  gravityCircle: SwingCircle;
  fieldCircle: SwingCircle;
  /** Chi-squared per degree of freedom of the dwells about the fit. */
  misfit: number;
  axisModel: AxisModel;
  /** Only with a site: errors against its pole, and their covariance (altitude, azimuth) with the variation's in it. */
  errors?: PolarErrors;
  errorCovariance?: readonly number[];
  sigmaDistanceRad?: number;
}
