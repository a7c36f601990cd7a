import { apply, cross, dot, scale, type Matrix3, type Vector3 } from '../../calibration/vector.ts';
import type { Random } from './random.ts';

/** How units of one make of sensor differ and what they read; `Unit` is g, nT or degrees per second. Spreads are 1 sigma. */
export interface SensorMake {
  part: string;
  /** Identity register, two hexadecimal digits. */
  identity: string;
  /** Where the figures come from. */
  source: string;
  /** The chip's axis that points along the board's x, then y, then z. */
  direction: string;
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
  name: ChipName;
  hz: number;
  accelerometer: SensorMake;
  magnetometer: SensorMake;
  gyro?: SensorMake;
}

export type ChipName = 'quiet' | 'typical' | 'cheap';

/** reading = matrix * input + bias, in the board's frame at 20 degrees Celsius: what a calibration has to undo. */
export interface Distortion {
  matrix: Matrix3;
  bias: Vector3;
}

const wanderTimeS = 30;
const referenceC = 20;

/** One drawn unit of a sensor: from the true vector in the board's frame to counts in the chip's axes. */
export class Sensor {
  readonly make: SensorMake;
  readonly distortion: Distortion;
  private readonly driftPerC: Vector3;
  private readonly axis: Axes;
  private readonly wander: [number, number, number];
  private lastS = 0;

  constructor(make: SensorMake, random: Random) {
    this.make = make;
    this.axis = parseDirection(make.direction);
    this.distortion = { matrix: drawMatrix(make, random), bias: random.normal3(make.bias) };
    this.driftPerC = random.normal3(make.biasPerC);
    this.wander = random.normal3(make.wander);
  }

  /** Counts in the chip's axes: rounded, and held at the chip's limit. */
  countsOf(input: Vector3, worldS: number, temperatureC: number, random: Random): [number, number, number] {
    const { perCount, limitCounts, noise } = this.make;
    this.moveWander(worldS, random);
    const shaped = apply(this.distortion.matrix, input);
    const counts: [number, number, number] = [0, 0, 0];
    for (let i = 0; i < 3; i += 1) {
      const value =
        shaped[i] +
        this.distortion.bias[i] +
        this.driftPerC[i] * (temperatureC - referenceC) +
        this.wander[i] +
        noise * random.normal();
      const rounded = Math.round((this.axis.sign[i] * value) / perCount);
      counts[this.axis.chipAxis[i]] = Math.max(-limitCounts - 1, Math.min(limitCounts, rounded)) + 0;
    }
    return counts;
  }

  /** What a host makes of counts by the declared scale and orientation: physical units in the board's frame. */
  physical(counts: Vector3): Vector3 {
    const { sign, chipAxis } = this.axis;
    const { perCount } = this.make;
    return [
      sign[0] * counts[chipAxis[0]] * perCount,
      sign[1] * counts[chipAxis[1]] * perCount,
      sign[2] * counts[chipAxis[2]] * perCount,
    ];
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

interface Axes {
  sign: readonly number[];
  chipAxis: readonly number[];
}

function parseDirection(direction: string): Axes {
  const parts = direction.match(/[+-][XYZ]/g) ?? [];
  return {
    sign: parts.map((part) => (part[0] === '-' ? -1 : 1)),
    chipAxis: parts.map((part) => 'XYZ'.indexOf(part[1])),
  };
}

/** Symmetric scale and cross-axis terms, then a small rotation. */
function drawMatrix(make: SensorMake, random: Random): Matrix3 {
  const [sx, sy, sz] = random.normal3(make.scale);
  const [xy, xz, yz] = random.normal3(make.crossAxis);
  const [rx, ry, rz] = random.normal3(make.misalignmentRad / Math.sqrt(3));
  const stretch: Matrix3 = [1 + sx, xy, xz, xy, 1 + sy, yz, xz, yz, 1 + sz];
  const turn: Matrix3 = [1, -rz, ry, rz, 1, -rx, -ry, rx, 1];
  const rows = [0, 3, 6].map((row): Vector3 => [turn[row], turn[row + 1], turn[row + 2]]);
  const columns = [0, 1, 2].map((column): Vector3 => [stretch[column], stretch[3 + column], stretch[6 + column]]);
  return rows.flatMap((row) => columns.map((column) => dot(row, column))) as unknown as Matrix3;
}

/** The exact correction of a distortion: corrected = matrix * (reading - bias). */
export function inverseOf({ matrix, bias }: Distortion): { bias: Vector3; matrix: Matrix3 } {
  const rows = [0, 3, 6].map((row): Vector3 => [matrix[row], matrix[row + 1], matrix[row + 2]]);
  const volume = dot(rows[0], cross(rows[1], rows[2]));
  const columns = [cross(rows[1], rows[2]), cross(rows[2], rows[0]), cross(rows[0], rows[1])].map((column) =>
    scale(column, 1 / volume),
  );
  const inverse = [0, 1, 2].flatMap((i) => columns.map((column) => column[i]));
  return { bias, matrix: inverse as unknown as Matrix3 };
}
