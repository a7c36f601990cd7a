import { describe, expect, test } from 'vitest';
import { apply, determinant, multiply, type Matrix3 } from '../../calibration/vector.ts';
import { isOrientation, orientationFault, orientationMatrix, orientations } from '../../firmware-proto/wire.ts';

/** The rotation group of the cube, generated from quarter turns about x and z. */
function generatedGroup(): Matrix3[] {
  const quarterTurns: Matrix3[] = [
    [1, 0, 0, 0, 0, -1, 0, 1, 0],
    [0, -1, 0, 1, 0, 0, 0, 0, 1],
  ];
  const group: Matrix3[] = [[1, 0, 0, 0, 1, 0, 0, 0, 1]];
  const known = new Set(group.map(key));
  for (const element of group) {
    for (const turn of quarterTurns) {
      const next = multiply(turn, element);
      if (known.has(key(next))) continue;
      known.add(key(next));
      group.push(next);
    }
  }
  return group;
}
const key = (m: Matrix3): string => m.map((entry) => entry + 0).join();

/** All 48 signed arrangements of the axes. */
const spellings = ['XYZ', 'XZY', 'YXZ', 'YZX', 'ZXY', 'ZYX'].flatMap((axes) =>
  [0, 1, 2, 3, 4, 5, 6, 7].map((signs) => [...axes].map((axis, i) => ((signs >> i) & 1 ? '-' : '+') + axis).join('')),
);

describe('orientation of a chip', () => {
  test('the 24 named values are the rotation group of the cube', () => {
    const group = generatedGroup();
    expect(group).toHaveLength(24);
    expect(new Set(orientations.map((name) => key(orientationMatrix(name))))).toEqual(new Set(group.map(key)));
  });

  test('each is proper, and the 24 left-handed spellings are refused in words', () => {
    for (const name of orientations) expect(determinant(orientationMatrix(name))).toBe(1);
    const others = spellings.filter((spelling) => !isOrientation(spelling));
    expect(others).toHaveLength(24);
    for (const spelling of others) expect(orientationFault(spelling)).toContain('left-handed');
    expect(orientationFault('+X+X+Z')).toContain('twice');
    expect(orientationFault('north')).toContain('+X+Y+Z');
  });

  test('the named axis of the chip lands on the axis of the board', () => {
    // The chip's -y points along the board's x, its x along the board's y.
    const matrix = orientationMatrix('-Y+X+Z');
    expect(apply(matrix, [0, -1, 0])).toEqual([1, 0, 0]);
    expect(apply(matrix, [1, 0, 0])).toEqual([0, 1, 0]);
    expect(apply(matrix, [0, 0, 1])).toEqual([0, 0, 1]);
  });
});
