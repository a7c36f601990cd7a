// A raw reading turned level, against rotations and matrices of ml-matrix: biases, scales and cross terms all at once.
import { inverse, Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { emptyReading, level } from '../../calibration/live/attitude.ts';
import type { Matrix3, Vector3 } from '../../calibration/vector.ts';

const correction = {
  accelerometer: {
    bias: [0.02, -0.03, 0.05] as Vector3,
    matrix: [1.1, 0.2, -0.1, 0.05, 0.9, 0.3, -0.2, 0.15, 1.2] as Matrix3,
  },
  magnetometer: {
    bias: [3e3, -5e3, 7e3] as Vector3,
    matrix: [0.95, -0.1, 0.2, 0.3, 1.2, -0.15, 0.1, 0.25, 0.8] as Matrix3,
  },
};
const plain = { bias: [0, 0, 0] as Vector3, matrix: [1, 0, 0, 0, 1, 0, 0, 0, 1] as Matrix3 };
const both = { accelerometer: plain, magnetometer: plain };
const [gravityG, fieldNt, dipRad] = [0.98, 48_000, 62 * degree];

const about = (axis: number, angle: number): Matrix => {
  const [i, j] = [(axis + 1) % 3, (axis + 2) % 3];
  const turn = Matrix.eye(3);
  turn.set(i, i, Math.cos(angle)).set(j, j, Math.cos(angle));
  return turn.set(i, j, -Math.sin(angle)).set(j, i, Math.sin(angle));
};
const vector = (column: Matrix): Vector3 => column.to1DArray() as unknown as Vector3;
/** What a chip reads whose correction gives that vector: the correction undone. */
const rawOf = (true3: Matrix, { bias, matrix }: { bias: Vector3; matrix: Matrix3 }): Vector3 =>
  vector(
    inverse(Matrix.from1DArray(3, 3, [...matrix]))
      .mmul(true3)
      .add(Matrix.columnVector([...bias])),
  );

describe('a reading', () => {
  it.each([
    [0.4, -0.7, 1.9],
    [-2.1, 1.1, -0.6],
    [1.3, 0.2, 2.8],
  ])('of a board turned by %d, %d and %d is turned level', (yaw, pitch, roll) => {
    // from the board's frame to magnetic north, east and down
    const toLevel = about(2, yaw).mmul(about(1, pitch)).mmul(about(0, roll));
    const inBoard = (level3: number[]): Matrix => toLevel.transpose().mmul(Matrix.columnVector(level3));
    const accelG = rawOf(inBoard([0, 0, -gravityG]), correction.accelerometer);
    const fieldRaw = rawOf(
      inBoard([fieldNt * Math.cos(dipRad), 0, fieldNt * Math.sin(dipRad)]),
      correction.magnetometer,
    );
    const direction: Vector3 = [2 / 7, -3 / 7, 6 / 7];
    const [north, east, down] = vector(toLevel.mmul(Matrix.columnVector([...direction])));
    const out = emptyReading();
    expect(Object.values(out)).toEqual(Array(11).fill(0));
    expect(level(accelG, fieldRaw, correction, direction, out)).toBe(true);
    const across = Math.hypot(north, east);
    const up = vector(inBoard([0, 0, -1]));
    const expected = {
      north: north / across,
      east: east / across,
      sinAltitude: -down,
      cosAltitude: across,
      gravityG,
      dipRad,
      upX: up[0],
      upY: up[1],
      upZ: up[2],
    };
    for (const [name, value] of Object.entries(expected)) expect(out[name as keyof typeof out]).toBeCloseTo(value, 12);
    expect(out.fieldNt).toBeCloseTo(fieldNt, 6);
    expect(out.horizontalNt).toBeCloseTo(fieldNt * Math.cos(dipRad), 6);
  });

  it('straight up has no azimuth, yet a cosine above zero', () => {
    const out = emptyReading();
    const upright = level([0, 0, 1], [20_000, 0, -40_000], both, [0, 0, 1], out);
    expect(upright).toBe(true);
    expect(out).toMatchObject({ sinAltitude: 1, cosAltitude: 1e-9 });
  });

  it.each([
    ['no gravity', [0, 0, 0], [20_000, 0, 40_000]],
    ['hardly any gravity', [0, 0, 0.9e-6], [20_000, 0, 40_000]],
    ['no field', [0, 0, 1], [0, 0, 0]],
    ['a field along the vertical', [0, 0, 1], [0, 0.9e-3, 40_000]],
    ['a gravity without end', [0, 0, Infinity], [20_000, 0, 40_000]],
    ['a field without end', [0, 0, 1], [Infinity, 0, 40_000]],
    ['no number', [0, NaN, 1], [20_000, 0, 40_000]],
    ['no number of the field', [0, 0, 1], [NaN, 0, 40_000]],
    ['a field beyond numbers', [0, 0, 1], [1e200, 0, 0]],
    ['a gravity beyond numbers', [0, 0, 1e200], [20_000, 0, 0]],
  ] as [string, Vector3, Vector3][])('with %s is none', (_, accelG, fieldRaw) => {
    expect(level(accelG, fieldRaw, both, [1, 0, 0], emptyReading())).toBe(false);
  });

  it('with little gravity and little field is one', () => {
    expect(level([0, 0, 1.1e-6], [0, 1.1e-3, 40_000], both, [1, 0, 0], emptyReading())).toBe(true);
  });
});
