// The recursions of a wandering hand against the same algebra written out with whole matrices.
import { determinant, inverse, Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { minimise } from '../../calibration/minimise.ts';
import { likeliestWander } from '../../calibration/tumble/likeliestWander.ts';
import { restrictedLikelihood } from '../../calibration/tumble/likelihood.ts';
import { rateClass } from '../../calibration/tumble/motion.ts';
import { evenRows } from '../../calibration/tumble/rowSigma.ts';
import { covarianceUnderWander } from '../../calibration/tumble/sandwich.ts';
import type { Wander, WanderRows } from '../../calibration/tumble/wander.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

const unknowns = 4;
const prior = { mean: [0, 0, 0, 0], sigma: [0.5, Infinity, 2, Infinity] };
const everyClass = (row: number[]): number[][] => Array.from({ length: rateClass.count }, () => row);
const wanderOf = (timeS: number): Wander => ({
  timeS,
  white: everyClass([0.3, 1, 0.5]),
  felt: everyClass([0.8, 0, 0.7]),
});

/** Readings that turn slowly, with the errors that `wander` gives them. */
function drawRows(random: Random, readings: number, wander: Wander): WanderRows {
  const values = new Float64Array(3 * readings * (unknowns + 1));
  const directions = new Float64Array(6 * readings);
  const gapS = Float64Array.from({ length: readings }, (_, i) => (i === 0 ? Infinity : random.between(0.03, 0.06)));
  const rates = [random.direction(), random.direction()];
  let hand = random.normal3(1);
  for (let i = 0; i < readings; i += 1) {
    const keep = Math.exp(-gapS[i] / wander.timeS);
    const push = random.normal3(Math.sqrt(1 - keep ** 2));
    hand = [keep * hand[0] + push[0], keep * hand[1] + push[1], keep * hand[2] + push[2]];
    for (let k = 0; k < 3; k += 1) {
      const row = (3 * i + k) * (unknowns + 1);
      for (let j = 0; j < unknowns; j += 1) values[row + j] = Math.cos(0.05 * (j + 1) * i + k) + 0.1 * random.normal();
      values[row + unknowns] = Math.sqrt(wander.white[0][k]) * random.normal();
      if (k === 1) continue;
      const [x, y, z] = rates[k / 2];
      const length = Math.hypot(Math.cos(0.04 * i + x), Math.sin(0.03 * i + y), z);
      const direction = [Math.cos(0.04 * i + x) / length, Math.sin(0.03 * i + y) / length, z / length];
      directions.set(direction, 6 * i + 1.5 * k);
      direction.forEach((d, q) => (values[row + unknowns] += wander.felt[0][k] * d * hand[q]));
    }
  }
  return {
    unknowns,
    readings,
    values,
    directions,
    classes: new Uint8Array(readings),
    counts: new Float64Array(readings).fill(1),
    gapS,
  };
}

/** Derivatives, residuals and the rows' whole covariance. */
function written({ values, directions, gapS, readings }: WanderRows, { timeS, white, felt }: Wander) {
  const table = Matrix.from1DArray(3 * readings, unknowns + 1, Array.from(values));
  const at = Array.from(gapS.slice(1)).reduce((times, gap) => [...times, times[times.length - 1] + gap], [0]);
  const covariance = Matrix.zeros(3 * readings, 3 * readings);
  for (let a = 0; a < 3 * readings; a += 1)
    for (let b = 0; b < 3 * readings; b += 1) {
      const [i, k, j, l] = [Math.floor(a / 3), a % 3, Math.floor(b / 3), b % 3];
      let value = a === b ? white[0][k] : 0;
      if (k !== 1 && l !== 1)
        for (let q = 0; q < 3; q += 1)
          value +=
            felt[0][k] *
            felt[0][l] *
            directions[6 * i + 1.5 * k + q] *
            directions[6 * j + 1.5 * l + q] *
            Math.exp(-Math.abs(at[i] - at[j]) / timeS);
      covariance.set(a, b, value);
    }
  const information = Matrix.diag(prior.sigma.map((sigma) => 1 / sigma ** 2));
  return {
    jacobian: table.subMatrix(0, 3 * readings - 1, 0, unknowns - 1),
    residual: table.getColumnVector(unknowns),
    covariance,
    information,
  };
}

describe('a hand whose own acceleration wanders', () => {
  const random = new Random(81);
  const rows = drawRows(random, 40, wanderOf(0.4));

  it('has the covariance of the written-out sandwich', () => {
    const { jacobian, covariance, information } = written(rows, wanderOf(0.4));
    const bread = inverse(jacobian.transpose().mmul(jacobian).add(information));
    const meat = jacobian.transpose().mmul(covariance).mmul(jacobian).add(information);
    const expected = bread.mmul(meat).mmul(bread).to1DArray();
    covarianceUnderWander(rows, wanderOf(0.4), prior).forEach((value, cell) =>
      expect(Math.abs(value / expected[cell] - 1)).toBeLessThan(1e-9),
    );
  });

  it('has the likelihood of the written-out normal distribution', () => {
    const start = [0.3, -0.2, 0.1, 0.4];
    const minusTwice = (wander: Wander): number => {
      const { jacobian, residual, covariance, information } = written(rows, wander);
      const weight = inverse(covariance);
      const normal = jacobian.transpose().mmul(weight).mmul(jacobian).add(information);
      const off = Matrix.columnVector(start);
      const gradient = jacobian.transpose().mmul(weight).mmul(residual).add(information.mmul(off));
      const squares =
        residual.transpose().mmul(weight).mmul(residual).get(0, 0) +
        off.transpose().mmul(information).mmul(off).get(0, 0) -
        gradient.transpose().mmul(inverse(normal)).mmul(gradient).get(0, 0);
      return Math.log(determinant(covariance)) + Math.log(determinant(normal)) + squares;
    };
    const ours = restrictedLikelihood(rows, prior, start);
    for (const timeS of [0.05, 0.4, 3]) expect(ours(wanderOf(timeS))).toBeCloseTo(minusTwice(wanderOf(timeS)), 6);
  });

  it('is found again: its time and its scatter', () => {
    const truth = wanderOf(0.4);
    const found = likeliestWander(drawRows(random, 2500, truth), evenRows, prior, [0, 0, 0, 0]);
    // 110 s are 140 times twice the wander's time: a tenth or so each
    expect(Math.abs(Math.log(found.timeS / truth.timeS))).toBeLessThan(0.4);
    for (const k of [0, 2]) {
      expect(Math.abs(Math.log(found.white[0][k] / truth.white[0][k]))).toBeLessThan(0.3);
      expect(Math.abs(Math.log(found.felt[0][k] / truth.felt[0][k]))).toBeLessThan(0.3);
    }
  });
});

describe('the simplex', () => {
  it("finds the bottom of Rosenbrock's valley (1960, the example of Nelder and Mead 1965)", () => {
    const valley = ([x, y]: readonly number[]): number => 100 * (y - x * x) ** 2 + (1 - x) ** 2;
    const [x, y] = minimise(valley, [-1.2, 1], { size: 1, tolerance: 1e-12, mostCalls: 1000 });
    expect(x).toBeCloseTo(1, 4);
    expect(y).toBeCloseTo(1, 4);
  });
});
