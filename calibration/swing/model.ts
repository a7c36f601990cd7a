import type { MeasurementModel } from '../adjust.ts';
import type { TumbleCalibration } from '../tumble/types.ts';
import { tumbleUnknowns } from '../tumble/types.ts';
import { apply, scale, subtract, type Matrix3, type Vector3 } from '../vector.ts';
import { tiltedFrame } from './frame.ts';
import { SwingMeaning } from './meaning.ts';
import { accelMatrixOf, fieldMatrixOf, plusIdentity } from './numbers.ts';
import { ironIndex, rollIndex, softIronIndex, swingUnknowns, symmetric, tiltIndex } from './unknowns.ts';
import type { Dwell } from './types.ts';

const { accelBias, accelMatrix, fieldBias, fieldMatrix, dip, count } = tumbleUnknowns;

/** A dwell and how the board was held: which clipping (its own axis direction and iron), which way along the axis. */
export interface HeldDwell {
  dwell: Dwell;
  /** Index of the axis direction in the board and of the turning iron. */
  clipping: number;
  /** -1 when the board points away from the elevated pole in a clip turned end for end on one seat. */
  sense: 1 | -1;
}

/**
 * A swing: gravity and field, both fixed in the world, seen by a board that turns about an axis fixed in both.
 *
 * With the axis at altitude h and magnetic azimuth z, e1 the part of "up" across the axis and e2 = axis x e1 (level, 90 degrees
 * clockwise of z seen from above): up = sin h axis + cos h e1, and a field of strength F and dip I has the parts
 * F (cos h cos I cos z - sin h sin I) along the axis, -F (sin h cos I cos z + cos h sin I) along e1, -F cos I sin z along e2
 * (own derivation). At roll r the board has e1 at angle r from its first tangent to the axis.
 * Iron that turns along adds to the field at the board: (1 + soft) field + hard, with a symmetric soft part, for soft iron
 * answers without turning.
 */
export class SwingModel extends SwingMeaning implements MeasurementModel {
  readonly unknowns: number;
  readonly residuals: number;
  private readonly held: readonly HeldDwell[];
  private readonly clippings: number;
  private readonly strengthNt: number;
  private readonly byCalibration = new Float64Array(6 * count);

  /** As `SwingMeaning`, and the dwells that were measured. */
  constructor(
    held: readonly HeldDwell[],
    calibration: TumbleCalibration,
    axes: readonly Vector3[],
    factor: Float64Array,
    ironUnitNt: number,
  ) {
    super(calibration, axes, factor, ironUnitNt);
    this.held = held;
    this.clippings = axes.length;
    this.unknowns = rollIndex(axes.length, held.length);
    this.residuals = 6 * held.length;
    this.strengthNt = calibration.fieldNt;
  }

  evaluate(unknown: Float64Array, residual: Float64Array, jacobian: Float64Array): void {
    const n = this.unknowns;
    jacobian.fill(0);
    const [h, z, strength] = [unknown[0], unknown[1], unknown[2] * this.strengthNt];
    const [ch, sh, cz, sz] = [Math.cos(h), Math.sin(h), Math.cos(z), Math.sin(z)];
    const y = this.calibrationAt(unknown);
    const irons = this.frames.map((_, clipping) => this.ironAt(unknown, clipping));
    const tilts = this.frames.map((base, k) => tiltedFrame(base, unknown[tiltIndex(k)], unknown[tiltIndex(k) + 1]));
    const [ci, si] = [Math.cos(y[dip]), Math.sin(y[dip])];
    const along = strength * (ch * ci * cz - sh * si);
    const inPlane = -strength * (sh * ci * cz + ch * si);
    const across = -strength * ci * sz;

    this.held.forEach(({ dwell, clipping, sense }, index) => {
      const { hardNt, soft } = irons[clipping];
      const ironed = plusIdentity(soft);
      const accelOff = subtract(dwell.accelG, [y[accelBias], y[accelBias + 1], y[accelBias + 2]]);
      const fieldOff = subtract(dwell.fieldNt, [y[fieldBias], y[fieldBias + 1], y[fieldBias + 2]]);
      const accelM = accelMatrixOf(y);
      const fieldM = fieldMatrixOf(y);
      const { frame, byFirst, bySecond } = tilts[clipping];
      const roll = rollIndex(this.clippings, index);
      const [cr, sr] = [Math.cos(unknown[roll]), Math.sin(unknown[roll])];
      /** Parts along e1, e2 and the axis to parts along the board's two tangents and axis. */
      const rolled = (one: number, two: number, three: number): Vector3 => [
        one * cr - two * sr,
        sense * (one * sr + two * cr),
        sense * three,
      ];
      const up = rolled(ch, 0, sh);
      const field = rolled(inPlane, across, along);
      const weightA = 1 / dwell.sigmaAccelG;
      const weightF = 1 / dwell.sigmaFieldNt;

      const row = 6 * index;
      const put = (at: number, measured: Vector3, predicted: Vector3, weight: number): void => {
        for (let i = 0; i < 3; i += 1) residual[at + i] = (measured[i] - predicted[i]) * weight;
      };
      put(row, apply(accelM, accelOff), apply(frame, up), weightA);
      const fieldOnBoard = apply(frame, field);
      put(row + 3, subtract(apply(fieldM, fieldOff), hardNt), apply(ironed, fieldOnBoard), weightF);

      const by = (unknownIndex: number, at: number, m: Matrix3, v: Vector3, factor: number): void => {
        const change = at === row ? apply(m, v) : apply(ironed, apply(m, v));
        for (let i = 0; i < 3; i += 1) jacobian[(at + i) * n + unknownIndex] += factor * change[i];
      };
      by(swingUnknowns.altitude, row, frame, rolled(-sh, 0, ch), -weightA);
      by(
        swingUnknowns.altitude,
        row + 3,
        frame,
        rolled(strength * (sh * si - ch * ci * cz), 0, strength * (-sh * ci * cz - ch * si)),
        -weightF,
      );
      by(
        swingUnknowns.azimuth,
        row + 3,
        frame,
        rolled(strength * sh * ci * sz, -strength * ci * cz, -strength * ch * ci * sz),
        -weightF,
      );
      by(swingUnknowns.strength, row + 3, frame, scale(field, this.strengthNt / strength), -weightF);
      by(tiltIndex(clipping), row, byFirst, up, -weightA);
      by(tiltIndex(clipping) + 1, row, bySecond, up, -weightA);
      by(tiltIndex(clipping), row + 3, byFirst, field, -weightF);
      by(tiltIndex(clipping) + 1, row + 3, bySecond, field, -weightF);
      const byRoll = (one: number, two: number): Vector3 => [-one * sr - two * cr, sense * (one * cr - two * sr), 0];
      by(roll, row, frame, byRoll(ch, 0), -weightA);
      by(roll, row + 3, frame, byRoll(inPlane, across), -weightF);

      // By the 22 numbers y, then by q through the Cholesky factor.
      const c = this.byCalibration.fill(0);
      for (let i = 0; i < 3; i += 1) {
        for (let j = 0; j < 3; j += 1) {
          c[i * count + accelBias + j] -= accelM[3 * i + j] * weightA;
          c[i * count + accelMatrix + symmetric[3 * i + j]] += accelOff[j] * weightA;
          c[(3 + i) * count + fieldBias + j] -= fieldM[3 * i + j] * weightF;
          c[(3 + i) * count + fieldMatrix + 3 * i + j] += fieldOff[j] * weightF;
        }
      }
      const byDip = apply(
        ironed,
        apply(
          frame,
          rolled(strength * (sh * si * cz - ch * ci), strength * si * sz, strength * (-ch * si * cz - sh * ci)),
        ),
      );
      for (let i = 0; i < 3; i += 1) c[(3 + i) * count + dip] -= byDip[i] * weightF;
      for (let i = 0; i < 6; i += 1) {
        for (let q = 0; q < count; q += 1) {
          let sum = 0;
          for (let k = q; k < count; k += 1) sum += c[i * count + k] * this.factor[k * count + q];
          jacobian[(row + i) * n + swingUnknowns.calibration + q] = sum;
        }
      }
      for (let i = 0; i < 3; i += 1) {
        jacobian[(row + 3 + i) * n + ironIndex(clipping) + i] = -this.ironUnitNt * weightF;
        for (let j = 0; j < 3; j += 1)
          jacobian[(row + 3 + i) * n + softIronIndex(clipping) + symmetric[3 * i + j]] = -fieldOnBoard[j] * weightF;
      }
    });
  }
}
