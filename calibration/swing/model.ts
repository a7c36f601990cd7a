import type { MeasurementModel } from '../adjust.ts';
import { correct, type SensorCorrection } from '../correction.ts';
import { tumbleUnknowns, type TumbleCalibration } from '../tumble/types.ts';
import { add, apply, scale, subtract, type Matrix3, type Vector3 } from '../vector.ts';
import { byAltitude, byAzimuth, byRoll, fieldAcross, fieldByDip, rolled, upAcross } from './axisParts.ts';
import { tiltedFrame } from './frame.ts';
import { SwingMeaning } from './meaning.ts';
import { correctionOf, plusIdentity } from './numbers.ts';
import { ironIndex, softIronIndex, swingUnknowns, symmetric, tiltIndex } from './unknowns.ts';
import type { Dwell } from './types.ts';

const { accelBias, accelMatrix, fieldBias, fieldMatrix, dip, count } = tumbleUnknowns;
const still: Vector3 = [0, 0, 0];

/** A dwell and how the board was held: which clipping (its own axis direction and iron), which way along the axis. */
export interface HeldDwell {
  dwell: Dwell;
  /** Index of the axis direction in the board and of the turning iron. */
  clipping: number;
  /** -1 when the board points away from the elevated pole in a clip turned end for end on one seat. */
  sense: 1 | -1;
}

/** Gravity (g) and field (nT) by their parts about the axis, and the field's derivatives by strength and dip. */
interface World {
  up: Vector3;
  field: Vector3;
  fieldByStrength: Vector3;
  fieldByDip: Vector3;
}

/** How the board sits in one clipping: the frame of the axis in it, and the iron that turns along. */
interface Clip extends ReturnType<typeof tiltedFrame> {
  hardNt: Vector3;
  /** What soft iron makes of a field. */
  ironed: Matrix3;
}

/**
 * A swing: gravity and field, both fixed in the world, seen by a board that turns about an axis fixed in both. Turned by the roll
 * and brought into the board by the frame of the axis (`axisParts.ts`), gravity is what the corrected accelerometer shows; the field
 * is so after the iron that turns along has made (1 + soft) field + hard of it, with a symmetric soft part, for soft iron answers
 * without turning. Each dwell has one unknown of its own, its roll.
 */
export class SwingModel extends SwingMeaning implements MeasurementModel {
  readonly unknowns: number;
  readonly residuals: number;
  readonly residualsPerOwn = 6;
  private readonly held: readonly HeldDwell[];
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
    this.unknowns = tiltIndex(axes.length);
    this.residuals = 6 * held.length;
    this.strengthNt = calibration.fieldNt;
  }

  /** Unknown `rollIndex` of dwell `index` of the held ones. */
  rollIndex = (index: number): number => this.unknowns + index;

  evaluate(unknown: Float64Array, residual: Float64Array, jacobian: Float64Array): void {
    const calibration = this.calibrationAt(unknown);
    const correction = correctionOf(calibration);
    const world = this.worldAt(unknown, calibration[dip]);
    const clips = this.frames.map((_, clipping) => this.clipAt(unknown, clipping));
    this.held.forEach((held, index) => {
      const clip = clips[held.clipping];
      const roll = rolled(unknown[this.rollIndex(index)], held.sense);
      this.compare(held.dwell, correction, world, clip, roll, residual.subarray(6 * index));
      this.differentiate(held, correction, world, clip, roll, jacobian.subarray(6 * index * (this.unknowns + 1)));
    });
  }

  /** What the chips say after their correction, less what they should, over its sigma. */
  private compare(
    { accelG, fieldNt, sigmaAccelG, sigmaFieldNt }: Dwell,
    { accelerometer, magnetometer }: SensorCorrection,
    { up, field }: World,
    { frame, ironed, hardNt }: Clip,
    roll: Matrix3,
    residual: Float64Array,
  ): void {
    const inBoard = (parts: Vector3): Vector3 => apply(frame, apply(roll, parts));
    const upOff = subtract(correct(accelerometer, accelG), inBoard(up));
    const fieldOff = subtract(correct(magnetometer, fieldNt), add(apply(ironed, inBoard(field)), hardNt));
    residual.set(scale(upOff, 1 / sigmaAccelG));
    residual.set(scale(fieldOff, 1 / sigmaFieldNt), 3);
  }

  private differentiate(
    { dwell, clipping }: HeldDwell,
    correction: SensorCorrection,
    world: World,
    clip: Clip,
    roll: Matrix3,
    jacobian: Float64Array,
  ): void {
    const { up, field } = world;
    const { frame, byFirst, bySecond, ironed } = clip;
    const [weightA, weightF] = [1 / dwell.sigmaAccelG, 1 / dwell.sigmaFieldNt];
    const width = this.unknowns + 1;
    const put = (row: number, column: number, value: number): void => {
      jacobian[row * width + column] = value;
    };
    const putParts = (column: number, frameMoved: Matrix3, byUp: Vector3, byField: Vector3): void => {
      const upMoved = apply(frameMoved, apply(roll, byUp));
      const fieldMoved = apply(ironed, apply(frameMoved, apply(roll, byField)));
      for (let i = 0; i < 3; i += 1) {
        put(i, column, -upMoved[i] * weightA);
        put(3 + i, column, -fieldMoved[i] * weightF);
      }
    };
    putParts(swingUnknowns.altitude, frame, byAltitude(up), byAltitude(field));
    putParts(swingUnknowns.azimuth, frame, still, byAzimuth(field, up));
    putParts(swingUnknowns.strength, frame, still, world.fieldByStrength);
    putParts(tiltIndex(clipping), byFirst, up, field);
    putParts(tiltIndex(clipping) + 1, bySecond, up, field);
    putParts(this.unknowns, frame, byRoll(up), byRoll(field));

    const fieldInBoard = apply(frame, apply(roll, field));
    for (let i = 0; i < 3; i += 1) {
      put(3 + i, ironIndex(clipping) + i, -this.ironUnitNt * weightF);
      for (let j = 0; j < 3; j += 1)
        put(3 + i, softIronIndex(clipping) + symmetric[3 * i + j], -fieldInBoard[j] * weightF);
    }

    const byDip = apply(ironed, apply(frame, apply(roll, world.fieldByDip)));
    const byNumber = this.byTheNumbers(dwell, correction, byDip);
    for (let i = 0; i < 6; i += 1) {
      const [from, to] = i < 3 ? [0, fieldBias] : [fieldBias, count];
      for (let q = 0; q < to; q += 1) {
        let sum = 0;
        for (let k = Math.max(q, from); k < to; k += 1) sum += byNumber[i * count + k] * this.factor[k * count + q];
        put(i, swingUnknowns.calibration + q, sum);
      }
    }
  }

  /** Derivatives of a dwell's residuals by the 22 numbers of the tumble, 6 x 22. */
  private byTheNumbers(dwell: Dwell, { accelerometer, magnetometer }: SensorCorrection, byDip: Vector3): Float64Array {
    const [weightA, weightF] = [1 / dwell.sigmaAccelG, 1 / dwell.sigmaFieldNt];
    const accelOff = subtract(dwell.accelG, accelerometer.bias);
    const fieldOff = subtract(dwell.fieldNt, magnetometer.bias);
    const c = this.byCalibration;
    for (let i = 0; i < 3; i += 1) {
      for (let j = 0; j < 3; j += 1) {
        c[i * count + accelBias + j] = -accelerometer.matrix[3 * i + j] * weightA;
        c[i * count + accelMatrix + symmetric[3 * i + j]] = accelOff[j] * weightA;
        c[(3 + i) * count + fieldBias + j] = -magnetometer.matrix[3 * i + j] * weightF;
        c[(3 + i) * count + fieldMatrix + 3 * i + j] = fieldOff[j] * weightF;
      }
      c[(3 + i) * count + dip] = -byDip[i] * weightF;
    }
    return c;
  }

  private worldAt(unknown: Float64Array, dipRad: number): World {
    const [altitudeRad, azimuthRad] = [unknown[swingUnknowns.altitude], unknown[swingUnknowns.azimuth]];
    const strengthNt = this.strengthNt * unknown[swingUnknowns.strength];
    const direction = fieldAcross(altitudeRad, azimuthRad, dipRad);
    return {
      up: upAcross(altitudeRad),
      field: scale(direction, strengthNt),
      fieldByStrength: scale(direction, this.strengthNt),
      fieldByDip: scale(fieldByDip(altitudeRad, azimuthRad, dipRad), strengthNt),
    };
  }

  private clipAt(unknown: Float64Array, clipping: number): Clip {
    const { hardNt, soft } = this.ironAt(unknown, clipping);
    const tilt = tiltIndex(clipping);
    const tilted = tiltedFrame(this.frames[clipping], unknown[tilt], unknown[tilt + 1]);
    return { ...tilted, hardNt, ironed: plusIdentity(soft) };
  }
}
