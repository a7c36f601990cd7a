import type { SensorCorrection } from '../correction.ts';
import type { Gate } from '../gate.ts';
import type { Vector3 } from '../vector.ts';

/** One reading of a board turned in the hand, in the board's frame, before any calibration; a `BoardSample` fits. */
export interface TumbleSample {
  /** +1 g along the axis that points up. */
  accelG: Vector3;
  fieldNt: Vector3;
  /** Seconds, any zero; without it samples stand alone. */
  boardS?: number;
}

/** The field that the magnetic model gives for the site, with the model's own standard deviations. */
export interface SiteField {
  fieldNt: number;
  sigmaFieldNt: number;
  /** > 0: the field points below the horizon (northern hemisphere). */
  dipRad: number;
  sigmaDipRad: number;
}

/** Standard deviation of one reading, per axis. */
export interface SensorNoise {
  accelG: number;
  fieldNt: number;
}

/** Standard deviations of what a chip is off by, before anything was measured. */
export interface ChipPrior {
  accelBiasG: number;
  /** Each element of the accelerometer's matrix. */
  accelMatrix: number;
  /** Each element of the magnetometer's matrix, iron on the board included. */
  fieldMatrix: number;
}

export interface TumbleOptions {
  site?: SiteField;
  /** Estimated from the readings when not given. */
  noise?: SensorNoise;
  /** Default: 0.03 g, 0.02, 0.15. */
  prior?: Partial<ChipPrior>;
  /** True for counts of unknown scale: strength is then relative only. */
  rawScale?: { accelerometer?: boolean; magnetometer?: boolean };
  /** Full scale of the chips, where known: readings at it are saturated. */
  fullScale?: Partial<SensorNoise>;
}

/** What a tumble is kept for: plain data, everything a later step needs to correct readings and to say how sure it is. */
export interface TumbleCalibration {
  correction: SensorCorrection;
  /** Row-major 22 x 22 in the order of `tumbleUnknowns`; g, 1, nT, 1, rad. */
  covariance: readonly number[];
  /** Strength of a corrected field; the site's where given, else as the chip's own scale has it (1 for raw counts). */
  fieldNt: number;
  dipRad: number;
  sigmaDipRad: number;
  /** Orientation error about the vertical and the angle between true and found vertical, rms over all attitudes, as the covariance implies. */
  sigmaHeadingRad: number;
  sigmaTiltRad: number;
  /** Rms of the corrected strength about `fieldNt`. */
  fieldResidualPercent: number;
  /** Rms of the dip of single readings about `dipRad`. */
  dipSpreadRad: number;
  noise: SensorNoise;
  samplesUsed: number;
}

/** One cell of the sphere around the board: how often the sensor's vector (up, or the field) pointed there. */
export interface CoverageCell {
  /** Unit vector of the cell's middle, board frame. */
  direction: Vector3;
  accelCount: number;
  fieldCount: number;
  /** A direction seen lies near enough to speak for this cell. */
  accelReached: boolean;
  fieldReached: boolean;
}

export interface Coverage {
  percent: number;
  cells: readonly CoverageCell[];
  /** How to turn the board next, in words; undefined when nothing is missing. */
  nextTurn: string | undefined;
  /** Unit vector in the board frame that is to point up next; undefined when every side was up. */
  nextUp: Vector3 | undefined;
}

export interface TumbleResult {
  accepted: boolean;
  gates: readonly Gate[];
  coverage: Coverage;
  samplesUsed: number;
  samplesRejected: number;
  /** Undefined when the readings could not be fitted at all; present but not to be used when refused. */
  calibration: TumbleCalibration | undefined;
}

/** Order of the 22 unknowns: corrected = matrix * (reading - bias); the accelerometer's matrix is symmetric. */
export const tumbleUnknowns = {
  accelBias: 0,
  /** xx, xy, xz, yy, yz, zz */
  accelMatrix: 3,
  fieldBias: 9,
  /** row-major 3 x 3 */
  fieldMatrix: 12,
  dip: 21,
  count: 22,
} as const;
