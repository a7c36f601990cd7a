/** Complementary error function, Abramowitz and Stegun (1964) 7.1.26: absolute error below 1.5e-7. */
function erfc(x: number): number {
  const t = 1 / (1 + 0.3275911 * Math.abs(x));
  const tail =
    t *
    (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))) *
    Math.exp(-x * x);
  return x >= 0 ? tail : 2 - tail;
}

/** Chance that a standard normal lies above `z`. */
export const chanceAbove = (z: number): number => erfc(z / Math.SQRT2) / 2;

/** Chance that a chi-squared with `degreesOfFreedom` exceeds `value`: Wilson and Hilferty (1931), good to 0.01 from one degree on. */
export function chanceOfChiSquared(value: number, degreesOfFreedom: number): number {
  if (degreesOfFreedom <= 0) return 1;
  const third = 2 / (9 * degreesOfFreedom);
  return chanceAbove((Math.cbrt(value / degreesOfFreedom) - (1 - third)) / Math.sqrt(third));
}
