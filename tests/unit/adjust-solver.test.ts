import { describe, expect, it } from 'vitest';
import { adjust, informationOf, sigmaOf, type MeasurementModel } from '../../calibration/adjust.ts';
import { largestDerivativeError } from '../../calibration/derivativeCheck.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

/** y = intercept + slope x, sigma 1. */
const line = (x: number[], y: number[]): MeasurementModel => ({
  unknowns: 2,
  residuals: x.length,
  evaluate(unknown, residual, jacobian) {
    x.forEach((value, i) => {
      residual[i] = y[i] - unknown[0] - unknown[1] * value;
      jacobian[2 * i] = -1;
      jacobian[2 * i + 1] = -value;
    });
  },
});

const abscissae = Array.from({ length: 40 }, (_, i) => i / 10 - 2);

describe('adjust', () => {
  it('takes a prior as one more measurement', () => {
    const fit = adjust(line([0], [4]), [0, 0], { prior: { mean: [0, 0], sigma: [1, 1] } });
    expect(fit.estimate[0]).toBeCloseTo(2, 9);
    expect(sigmaOf(fit, 0)).toBeCloseTo(Math.SQRT1_2, 9);
    expect(fit.degreesOfFreedom).toBeCloseTo(0.5, 9);
  });

  it('gives the same from all data at once as from one half with the other half as a correlated prior', () => {
    const random = new Random(1);
    const y = abscissae.map((x) => 1 + 2 * x + random.normal());
    const whole = adjust(line(abscissae, y), [0, 0]);
    const first = adjust(line(abscissae.slice(0, 25), y.slice(0, 25)), [0, 0]);
    const second = adjust(line(abscissae.slice(25), y.slice(25)), [0, 0], {
      prior: { mean: first.estimate, information: informationOf(first.covariance) },
    });
    second.estimate.forEach((value, j) => expect(value).toBeCloseTo(whole.estimate[j], 8));
    second.covariance.forEach((value, j) => expect(value).toBeCloseTo(whole.covariance[j], 8));
  });

  it('keeps its expectation of chi squared with and without priors drawn as stated', () => {
    let [sum, expected] = [0, 0];
    for (let seed = 0; seed < 400; seed += 1) {
      const random = new Random(seed);
      const truth = [random.normal() * 0.3, random.normal() * 0.3];
      const x = abscissae.slice(0, 6);
      const y = x.map((value) => truth[0] + truth[1] * value + random.normal());
      const fit = adjust(line(x, y), [0, 0], { prior: { mean: [0, 0], sigma: [0.3, 0.3] } });
      sum += fit.chiSquared;
      expected += fit.degreesOfFreedom;
    }
    expect(sum / expected).toBeGreaterThan(0.93);
    expect(sum / expected).toBeLessThan(1.07);
  });

  it('is hardly moved by gross errors under the robust loss, and says which they are', () => {
    const random = new Random(2);
    const y = abscissae.map((x, i) => 1 + 2 * x + random.normal() * 0.5 + (i % 10 === 0 ? 40 : 0));
    const plain = adjust(line(abscissae, y), [0, 0]);
    const robust = adjust(line(abscissae, y), [0, 0], { robust: { threshold: 2, groupSize: 1 } });
    expect(Math.abs(plain.estimate[0] - 1)).toBeGreaterThan(2);
    expect(Math.abs(robust.estimate[0] - 1)).toBeLessThan(0.5);
    robust.weight.forEach((weight, i) => (i % 10 === 0 ? expect(weight).toBeLessThan(0.1) : expect(weight).toBe(1)));
  });

  it('refuses what the measurements do not determine', () => {
    expect(() => adjust(line([1, 1, 1], [1, 2, 3]), [0, 0])).toThrow(/do not determine/);
    expect(() => adjust(line([0, 0], [1, 2]), [0, 0])).toThrow(/unknown 1 is not touched/);
    expect(() => adjust(line([0, 1], [NaN, 2]), [0, 0])).toThrow(/not finite/);
  });

  it('catches a wrong derivative', () => {
    const model = line([1, 2], [1, 2]);
    const wrong: MeasurementModel = {
      ...model,
      evaluate(unknown, residual, jacobian) {
        model.evaluate(unknown, residual, jacobian);
        jacobian[1] *= 1.01;
      },
    };
    expect(largestDerivativeError(model, [0, 0])).toBeLessThan(1e-9);
    expect(largestDerivativeError(wrong, [0, 0])).toBeGreaterThan(4e-3);
  });
});
