/** Right-handed three-vectors and 3x3 matrices (row-major) as plain tuples. */
export type Vector3 = readonly [number, number, number];
export type Matrix3 = readonly [number, number, number, number, number, number, number, number, number];

/** Three numbers, or nine row by row, of a longer list from `at` on. */
export const vector3 = (v: ArrayLike<number>, at = 0): Vector3 => [v[at], v[at + 1], v[at + 2]];
export const matrix3 = (m: ArrayLike<number>, at = 0): Matrix3 => {
  const [first, second, third] = [vector3(m, at), vector3(m, at + 3), vector3(m, at + 6)];
  return [...first, ...second, ...third];
};

export const identity3: Matrix3 = [1, 0, 0, 0, 1, 0, 0, 0, 1];

export const add = (a: Vector3, b: Vector3): Vector3 => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const subtract = (a: Vector3, b: Vector3): Vector3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const scale = (a: Vector3, factor: number): Vector3 => [a[0] * factor, a[1] * factor, a[2] * factor];
export const dot = (a: Vector3, b: Vector3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Vector3, b: Vector3): Vector3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
/** Length; the plain root, since Math.hypot takes several times as long. */
export const norm = (a: Vector3): number => Math.sqrt(dot(a, a));
/** Unit vector along `a`; NaN components when `a` is zero. */
export const normalise = (a: Vector3): Vector3 => scale(a, 1 / norm(a));
/** Angle between two directions, 0..pi, exact near 0 and pi (atan2 of cross and dot). */
export const angleBetweenRad = (a: Vector3, b: Vector3): number => Math.atan2(norm(cross(a, b)), dot(a, b));

/** `m` times `v`. */
export const apply = (m: Matrix3, v: Vector3): Vector3 => [
  m[0] * v[0] + m[1] * v[1] + m[2] * v[2],
  m[3] * v[0] + m[4] * v[1] + m[5] * v[2],
  m[6] * v[0] + m[7] * v[1] + m[8] * v[2],
];
export const transpose = (m: Matrix3): Matrix3 => [m[0], m[3], m[6], m[1], m[4], m[7], m[2], m[5], m[8]];
export const multiply = (a: Matrix3, b: Matrix3): Matrix3 => {
  const [x, y, z] = [0, 1, 2].map((column) => apply(a, [b[column], b[3 + column], b[6 + column]] as Vector3));
  return [x[0], y[0], z[0], x[1], y[1], z[1], x[2], y[2], z[2]];
};
export const determinant = (m: Matrix3): number =>
  dot([m[0], m[1], m[2]], cross([m[3], m[4], m[5]], [m[6], m[7], m[8]]));

/** Inverse; not finite when the determinant is 0. */
export const inverse = (m: Matrix3): Matrix3 => {
  const [r0, r1, r2]: Vector3[] = [
    [m[0], m[1], m[2]],
    [m[3], m[4], m[5]],
    [m[6], m[7], m[8]],
  ];
  const d = 1 / determinant(m);
  const [a, b, c] = [scale(cross(r1, r2), d), scale(cross(r2, r0), d), scale(cross(r0, r1), d)];
  return [a[0], b[0], c[0], a[1], b[1], c[1], a[2], b[2], c[2]];
};

/** Rotation by `angleRad` about the unit vector `axis`, right-handed (Rodrigues). */
export function rotationAbout(axis: Vector3, angleRad: number): Matrix3 {
  const [x, y, z] = axis;
  const c = Math.cos(angleRad);
  const s = Math.sin(angleRad);
  const t = 1 - c;
  return [
    t * x * x + c,
    t * x * y - s * z,
    t * x * z + s * y,
    t * x * y + s * z,
    t * y * y + c,
    t * y * z - s * x,
    t * x * z - s * y,
    t * y * z + s * x,
    t * z * z + c,
  ];
}

/** Two unit vectors that complete the unit vector `axis` to a right-handed frame (first x second = axis). */
export function tangentsOf(axis: Vector3): [Vector3, Vector3] {
  const helper: Vector3 = Math.abs(axis[0]) < 0.6 ? [1, 0, 0] : [0, 1, 0];
  const first = normalise(cross(helper, axis));
  return [first, cross(axis, first)];
}
