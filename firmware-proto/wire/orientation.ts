import { matrix3, type Matrix3 } from '../../calibration/vector.ts';

/**
 * How a chip sits on the board: the chip's axis that points along the board's x, then y, then z, e.g. `-Y+X+Z`.
 * The 24 proper rotations that map axes to axes; left-handed spellings are not among them.
 */
export const orientations = [
  '+X+Y+Z', '+X-Y-Z', '-X+Y-Z', '-X-Y+Z',
  '+X+Z-Y', '+X-Z+Y', '-X+Z+Y', '-X-Z-Y',
  '+Y+Z+X', '+Y-Z-X', '-Y+Z-X', '-Y-Z+X',
  '+Y+X-Z', '+Y-X+Z', '-Y+X+Z', '-Y-X-Z',
  '+Z+X+Y', '+Z-X-Y', '-Z+X-Y', '-Z-X+Y',
  '+Z+Y-X', '+Z-Y+X', '-Z+Y+X', '-Z-Y-X',
] as const; // prettier-ignore
export type Orientation = (typeof orientations)[number];

export const isOrientation = (text: string): text is Orientation => (orientations as readonly string[]).includes(text);

/** The matrix that takes a vector in the chip's axes to the board's frame; entries 0 or +-1, determinant +1. */
export function orientationMatrix(orientation: Orientation): Matrix3 {
  const rows = [0, 2, 4].map((at) => {
    const row = [0, 0, 0];
    row['XYZ'.indexOf(orientation[at + 1])] = orientation[at] === '-' ? -1 : 1;
    return row;
  });
  return matrix3(rows.flat());
}

/** Why `text` is no orientation, in words. */
export function orientationFault(text: string): string {
  const match = /^[+-]([XYZ])[+-]([XYZ])[+-]([XYZ])$/.exec(text);
  if (match === null) return `"${text}" is not a sign and an axis for each of the board's x, y and z, such as +X+Y+Z`;
  if (new Set(match.slice(1)).size < 3) return `"${text}" names an axis twice`;
  return `"${text}" is left-handed; change one sign, or exchange two axes`;
}
