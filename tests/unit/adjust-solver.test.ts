import { describe, expect, it } from 'vitest';
import { inverse2 } from '../../calibration/matrix2.ts';
import { adjust, sigmaOf, type MeasurementModel } from '../../calibration/adjust.ts';
import { largestDerivativeError } from '../derivativeCheck.ts';
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

/** Five decays with one rate and one offset, read four times each, every one with an amplitude of its own; sigmas differ. */
function decays(isArrow: boolean): MeasurementModel {
  const random = new Random(11);
  const read = Array.from({ length: 20 }, (_, i) => {
    const [time, sigma] = [0.3 + (i % 4) * 0.7 + 0.05 * i, 0.01 * (1 + (i % 3))];
    const truth = (1 + Math.floor(i / 4)) * Math.exp(-0.6 * time) + 1.2;
    return { time, sigma, value: truth + sigma * random.normal() + (i === 13 ? 0.1 : 0) };
  });
  const width = isArrow ? 3 : 7;
  return {
    unknowns: isArrow ? 2 : 7,
    residuals: 20,
    ...(isArrow && { residualsPerOwn: 4 }),
    evaluate(unknown, residual, jacobian) {
      const [offset, rate] = unknown;
      read.forEach(({ time, sigma, value }, i) => {
        const block = Math.floor(i / 4);
        const decay = Math.exp(-rate * time);
        residual[i] = (value - offset - unknown[2 + block] * decay) / sigma;
        jacobian[width * i] = -1 / sigma;
        jacobian[width * i + 1] = (unknown[2 + block] * time * decay) / sigma;
        jacobian[width * i + 2 + (isArrow ? 0 : block)] = -decay / sigma;
      });
    },
  };
}

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
      prior: { mean: first.estimate, information: inverse2([...first.covariance] as [number, number, number, number]) },
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

  it('gives the same with unknowns of single blocks taken out as with all of them side by side', () => {
    const [whole, arrow] = [false, true].map((isArrow) =>
      adjust(decays(isArrow), [1.1, 0.4, 2, 2, 2, 2, 2], {
        prior: isArrow
          ? { mean: [1, 0.5], sigma: [0.4, 0.2] }
          : { mean: [1, 0.5, 0, 0, 0, 0, 0], sigma: [0.4, 0.2, ...new Array<number>(5).fill(Infinity)] },
        robust: { threshold: 1.5, groupSize: 2 },
        tolerance: 1e-9,
      }),
    );
    expect(largestDerivativeError(decays(true), [1.1, 0.4, 2, 3, 2.5, 2, 1])).toBeLessThan(1e-8);
    expect(whole.weight.some((weight) => weight < 0.9)).toBe(true);
    expect(arrow.iterations).toBe(whole.iterations);
    const near = (some: ArrayLike<number>, other: ArrayLike<number>): void =>
      Array.from(some).forEach((value, i) => expect(value).toBeCloseTo(other[i], 9));
    near(arrow.estimate, whole.estimate);
    near(
      arrow.covariance,
      [0, 1, 7, 8].map((at) => whole.covariance[at]),
    );
    near(arrow.normalisedResidual, whole.normalisedResidual);
    near([arrow.chiSquared, arrow.degreesOfFreedom], [whole.chiSquared, whole.degreesOfFreedom]);
    // the own unknowns follow: no shared one moves what the amplitudes can take up
    const { jacobian, weight } = arrow;
    for (let block = 0; block < 5; block += 1) {
      for (let j = 0; j < 2; j += 1) {
        let [along, length] = [0, 0];
        for (let i = 4 * block; i < 4 * block + 4; i += 1) {
          const byAmplitude = whole.jacobian[7 * i + 2 + block];
          along += weight[i >> 1] * byAmplitude * jacobian[2 * i + j];
          length += weight[i >> 1] * byAmplitude ** 2;
        }
        expect(along / length).toBeCloseTo(0, 9);
      }
    }
  });

  it('refuses an own unknown that nothing touches', () => {
    const model = decays(true);
    const deaf: MeasurementModel = {
      ...model,
      evaluate(unknown, residual, jacobian) {
        model.evaluate(unknown, residual, jacobian);
        for (let i = 4; i < 8; i += 1) jacobian[3 * i + 2] = 0;
      },
    };
    expect(() => adjust(deaf, [1.1, 0.4, 2, 2, 2, 2, 2])).toThrow(/own unknown 1 is not touched/);
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
