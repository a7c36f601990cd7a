/** 2 x 2, row by row. */
export type Matrix2 = readonly [number, number, number, number];

export const determinant2 = ([a, b, c, d]: Matrix2): number => a * d - b * c;

/** Not finite where the matrix is singular. */
export const inverse2 = (m: Matrix2): Matrix2 => {
  const [a, b, c, d] = m;
  const determinant = determinant2(m);
  return [d / determinant, -b / determinant, -c / determinant, a / determinant];
};

export const product2 = (m: Matrix2, n: Matrix2): Matrix2 => [
  m[0] * n[0] + m[1] * n[2],
  m[0] * n[1] + m[1] * n[3],
  m[2] * n[0] + m[3] * n[2],
  m[2] * n[1] + m[3] * n[3],
];
