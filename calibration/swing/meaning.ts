import type { SensorCorrection } from '../correction.ts';
import type { TumbleCalibration } from '../tumble/types.ts';
import { tumbleUnknowns } from '../tumble/types.ts';
import { add, apply, inverse, matrix3, multiply, type Matrix3, type Vector3 } from '../vector.ts';
import { axisOf, frameAbout, tiltedFrame } from './frame.ts';
import { calibrationVector, correctionOf, plusIdentity } from './numbers.ts';
import { ironIndex, softIronIndex, swingUnknowns, symmetric, tiltIndex } from './unknowns.ts';

const { count } = tumbleUnknowns;

/**
 * What the unknowns of a swing stand for. The 22 numbers of the tumble are estimated again with the tumble's own covariance as
 * prior: y = y0 + L q with q ~ N(0, 1) and L the Cholesky factor of that covariance, so the priors stay independent for the
 * solver.
 */
export class SwingMeaning {
  readonly ironUnitNt: number;
  protected readonly factor: Float64Array;
  protected readonly frames: readonly Matrix3[];
  private readonly start: Float64Array;

  /**
   * @param axes start of the axis in the board for each clipping (unit vectors)
   * @param factor lower Cholesky factor, row-major 22 x 22, of the prior covariance of the calibration
   * @param ironUnitNt unit of the hard iron's unknowns
   */
  constructor(calibration: TumbleCalibration, axes: readonly Vector3[], factor: Float64Array, ironUnitNt: number) {
    this.start = calibrationVector(calibration);
    this.factor = factor;
    this.ironUnitNt = ironUnitNt;
    this.frames = axes.map(frameAbout);
  }

  /** The 22 numbers of the tumble at these unknowns. */
  calibrationAt(unknown: ArrayLike<number>): Float64Array {
    const y = Float64Array.from(this.start);
    for (let i = 0; i < count; i += 1)
      for (let j = 0; j <= i; j += 1) y[i] += this.factor[i * count + j] * unknown[swingUnknowns.calibration + j];
    return y;
  }

  /** Turning iron at the board: hard in nT, and what soft iron adds to the unit matrix. */
  ironAt(unknown: ArrayLike<number>, clipping: number): { hardNt: Vector3; soft: Matrix3 } {
    const [hard, soft] = [ironIndex(clipping), softIronIndex(clipping)];
    const unit = this.ironUnitNt;
    return {
      hardNt: [unit * unknown[hard], unit * unknown[hard + 1], unit * unknown[hard + 2]],
      soft: matrix3(symmetric.map((k) => unknown[soft + k])),
    };
  }

  /** What takes chips and turning iron off a reading: (1 + soft)^-1 (M (reading - bias) - hard). */
  correctionAt(unknown: ArrayLike<number>, clipping: number): SensorCorrection {
    const { accelerometer, magnetometer } = correctionOf(this.calibrationAt(unknown));
    const { hardNt, soft } = this.ironAt(unknown, clipping);
    return {
      accelerometer,
      magnetometer: {
        bias: add(magnetometer.bias, apply(inverse(magnetometer.matrix), hardNt)),
        matrix: multiply(inverse(plusIdentity(soft)), magnetometer.matrix),
      },
    };
  }

  /** Adds to a row over all unknowns: `factor` times the derivative of number `index` of the calibration. */
  addCalibrationRow(row: Float64Array, index: number, factor: number): void {
    for (let j = 0; j <= index; j += 1) row[swingUnknowns.calibration + j] += factor * this.factor[index * count + j];
  }

  /** Columns: the two tangents that roll is counted from, and the axis, in the board. */
  frameAt(unknown: ArrayLike<number>, clipping: number): Matrix3 {
    const at = tiltIndex(clipping);
    return tiltedFrame(this.frames[clipping], unknown[at], unknown[at + 1]).frame;
  }

  /** Change of the axis in the board by the two tilts of `clipping`. */
  axisDerivatives(unknown: ArrayLike<number>, clipping: number): [Vector3, Vector3] {
    const at = tiltIndex(clipping);
    const { byFirst, bySecond } = tiltedFrame(this.frames[clipping], unknown[at], unknown[at + 1]);
    return [axisOf(byFirst), axisOf(bySecond)];
  }
}
