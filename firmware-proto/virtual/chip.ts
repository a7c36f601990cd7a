import {
  add,
  apply,
  multiply,
  scale,
  transpose,
  type Matrix3,
  type Vector3,
  inverse,
} from '../../calibration/vector.ts';
import { orientationMatrix, type Orientation } from '../wire.ts';
import type { Random } from './random.ts';

/** How units of one make of sensor differ and what they read; `Unit` is g, nT or degrees per second. Spreads are 1 sigma. */
export interface SensorMake {
  part: string;
  /** Identity register, two hexadecimal digits. */
  identity: string;
  /** Where the figures come from. */
  source: string;
  orientation: Orientation;
  perCount: number;
  limitCounts: number;
  noise: number;
  bias: number;
  biasPerC: number;
  /** Slow wander of the bias: its size, with a time constant of 30 s. */
  wander: number;
  scale: number;
  crossAxis: number;
  /** Rotation against the accelerometer, whose axes are the board's. */
  misalignmentRad: number;
}

export interface ChipMake {
  hz: number;
  accelerometer: SensorMake;
  magnetometer: SensorMake;
  gyro?: SensorMake;
}

export type ChipName = 'quiet' | 'typical' | 'cheap';

/** reading = matrix * input + bias, in the board's frame at 20 degrees Celsius: what a calibration has to undo. */
interface Distortion {
  matrix: Matrix3;
  bias: Vector3;
}

/** corrected = matrix * (reading - bias), in the board's frame. */
export interface Correction {
  bias: Vector3;
  matrix: Matrix3;
}

const wanderTimeS = 30;
const referenceC = 20;

/** One drawn unit of a sensor: from the true vector in the board's frame to counts in the chip's axes. */
export class Sensor {
  readonly make: SensorMake;
  readonly distortion: Distortion;
  private readonly driftPerC: Vector3;
  private readonly toBoard: Matrix3;
  private readonly toChip: Matrix3;
  private readonly wander: [number, number, number];
  private lastS = 0;

  constructor(make: SensorMake, random: Random) {
    this.make = make;
    this.toBoard = orientationMatrix(make.orientation);
    this.toChip = transpose(this.toBoard);
    this.distortion = { matrix: drawMatrix(make, random), bias: random.normal3(make.bias) };
    this.driftPerC = random.normal3(make.biasPerC);
    this.wander = random.normal3(make.wander);
  }

  /** Counts in the chip's axes: rounded, and held at the chip's limit. */
  countsOf(input: Vector3, worldS: number, temperatureC: number, random: Random): [number, number, number] {
    const { perCount, limitCounts, noise } = this.make;
    this.moveWander(worldS, random);
    const shaped = apply(this.distortion.matrix, input);
    const bias = this.biasAt(temperatureC);
    const reading: Vector3 = [
      shaped[0] + bias[0] + this.wander[0] + noise * random.normal(),
      shaped[1] + bias[1] + this.wander[1] + noise * random.normal(),
      shaped[2] + bias[2] + this.wander[2] + noise * random.normal(),
    ];
    const inChip = apply(this.toChip, reading);
    const count = (value: number): number =>
      Math.max(-limitCounts - 1, Math.min(limitCounts, Math.round(value / perCount))) + 0;
    return [count(inChip[0]), count(inChip[1]), count(inChip[2])];
  }

  /** What a host makes of counts by the declared scale and orientation: physical units in the board's frame. */
  physical(counts: Vector3): Vector3 {
    return scale(apply(this.toBoard, counts), this.make.perCount);
  }

  /** Truth: the exact correction, corrected = matrix * (reading - bias), at a temperature. */
  correctionAt(temperatureC: number): Correction {
    return { bias: this.biasAt(temperatureC), matrix: inverse(this.distortion.matrix) };
  }

  private biasAt(temperatureC: number): Vector3 {
    return add(this.distortion.bias, scale(this.driftPerC, temperatureC - referenceC));
  }

  private moveWander(worldS: number, random: Random): void {
    const { wander } = this.make;
    const elapsedS = Math.max(0, worldS - this.lastS);
    this.lastS = worldS;
    if (wander === 0) return;
    const keep = Math.exp(-elapsedS / wanderTimeS);
    const fresh = wander * Math.sqrt(1 - keep * keep);
    for (let i = 0; i < 3; i += 1) this.wander[i] = keep * this.wander[i] + fresh * random.normal();
  }
}

/** Symmetric scale and cross-axis terms, then a small rotation. */
function drawMatrix(make: SensorMake, random: Random): Matrix3 {
  const [sx, sy, sz] = random.normal3(make.scale);
  const [xy, xz, yz] = random.normal3(make.crossAxis);
  const [rx, ry, rz] = random.normal3(make.misalignmentRad / Math.sqrt(3));
  const stretch: Matrix3 = [1 + sx, xy, xz, xy, 1 + sy, yz, xz, yz, 1 + sz];
  const turn: Matrix3 = [1, -rz, ry, rz, 1, -rx, -ry, rx, 1];
  return multiply(turn, stretch);
}
