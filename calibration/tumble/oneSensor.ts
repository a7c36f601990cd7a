import { adjust, type Adjustment, type MeasurementModel, type Prior } from '../adjust.ts';
import type { AffineCorrection } from '../correction.ts';
import { fitEllipsoid, fitSphere } from '../ellipsoid.ts';
import type { Gate } from '../gate.ts';
import { apply, identity3, norm, vector3, type Matrix3, type Vector3 } from '../vector.ts';
import { cellOf, coverageOf, SphereCover } from './coverage.ts';
import {
  accelerometerChecks,
  coverageChecks,
  judge,
  magnetometerChecks,
  shakeCheck,
  strengthChecks,
  strengthDriftPercent,
  undeterminedGate,
} from './fitGates.ts';
import { scaleMatrix3, singularValues3 } from './matrix.ts';
import { usualNoise } from './noise.ts';
import { sensorGates } from './readingGates.ts';
import { countGates, packVectors } from './readings.ts';
import type { Coverage } from './types.ts';

interface OneSensorOptions {
  sensor: 'accelerometer' | 'magnetometer';
  /** Length of a corrected reading: 1 g, or the site's strength in nT; without it the sensor's own scale is kept. */
  length?: number;
  rawScale?: boolean;
  fullScale?: number;
}

export interface OneSensorResult {
  accepted: boolean;
  gates: readonly Gate[];
  coverage: Coverage;
  samplesUsed: number;
  samplesRejected: number;
  /** Undefined when the readings could not be fitted. */
  correction: AffineCorrection | undefined;
  /** Row-major 9 x 9: bias, then matrix xx xy xz yy yz zz. */
  covariance: readonly number[];
  /** Length of a corrected reading. */
  length: number;
  residualPercent: number;
  /** Plain words on what one sensor alone cannot tell. */
  stillUnknown: string;
}

const unknowns = 9;
/** Huber's weight below which a reading counts as left out: further off than four sigma. */
const keptWeight = 0.6;
const elements = [
  [0, 0],
  [0, 1],
  [0, 2],
  [1, 1],
  [1, 2],
  [2, 2],
] as const;
const stillUnknown = {
  accelerometer:
    'Calibrated by gravity only: bias, scale and cross-axis are known, but nothing of a magnetometer and so no azimuth.',
  magnetometer:
    'Calibrated by strength only: how the magnetometer sits against gravity (its turn about every axis) and the dip stay unknown, so no heading follows from it alone.',
};

/** Calibrates one sensor by the length of its readings alone; never throws on bad readings. */
export function fitOneSensor(vectors: readonly Vector3[], options: OneSensorOptions): OneSensorResult {
  const { sensor, rawScale = false, fullScale } = options;
  const unit = rawScale ? 1 / (fitSphere(vectors.filter(isFinite3).flat())?.radius ?? 1) : 1;
  const { flat, notNumbers } = packVectors(vectors, unit);
  const usual = sensor === 'accelerometer' ? 1 : 45_000;
  const gates: Gate[] = countGates(flat.length / 3, notNumbers, 12);
  const sphere = fitSphere(flat);
  const rough = coverFrom(flat, sensor === 'magnetometer' ? (sphere?.centre ?? [0, 0, 0]) : [0, 0, 0], identity3);
  const result = (more: Partial<OneSensorResult> = {}): OneSensorResult => ({
    accepted: !gates.some(({ verdict }) => verdict === 'stop'),
    gates,
    coverage: coverageFor(sensor, rough.cover),
    samplesUsed: 0,
    samplesRejected: notNumbers,
    correction: undefined,
    covariance: [],
    length: options.length ?? usual,
    residualPercent: NaN,
    stillUnknown: stillUnknown[sensor],
    ...more,
  });
  if (gates.some(({ verdict }) => verdict === 'stop')) return result();
  gates.push(
    ...sensorGates({
      name: sensor,
      flat,
      unit: rawScale ? 'counts' : sensor === 'accelerometer' ? 'g' : 'nT',
      usualLength: rawScale ? undefined : (options.length ?? usual),
      fullScale,
    }),
  );
  const first = result();
  const tooFew = coverageChecks(first.coverage.percent, rough.attitudes, first.coverage.nextTurn, 9).map(judge);
  if (!first.accepted || tooFew.some(({ verdict }) => verdict === 'stop') || !sphere) {
    gates.push(...tooFew.filter(({ verdict }) => verdict !== 'ok'));
    return result();
  }

  const radius = rawScale ? 1 : sphere.radius;
  const length = rawScale ? 1 : (options.length ?? (sensor === 'accelerometer' ? 1 : radius));
  const fit = tryFit(flat, sensor, length, sphere, rawScale);
  if (!fit?.converged) {
    gates.push(undeterminedGate(first.coverage));
    return result();
  }
  const correction = correctionOf(fit.estimate);
  const covered = coverFrom(flat, correction.bias, correction.matrix);
  const all = covered.lengths.map((value) => value / length - 1);
  const differences = all.filter((_, i) => fit.weight[i] > keptWeight);
  const kept = differences.length;
  const residualPercent = 100 * Math.sqrt(differences.reduce((sum, d) => sum + d * d, 0) / differences.length);
  const coverage = coverageFor(sensor, covered.cover);
  const [longest, , shortest] = singularValues3(correction.matrix);
  const matrixOff = Math.max(...correction.matrix.map((v, i) => Math.abs(v - (i % 4 === 0 ? 1 : 0))));
  gates.push(
    ...[
      ...coverageChecks(coverage.percent, covered.attitudes, coverage.nextTurn, 9),
      ...(sensor === 'accelerometer'
        ? accelerometerChecks(norm(correction.bias), rawScale ? longest / shortest - 1 : matrixOff, residualPercent)
        : [
            ...strengthChecks(residualPercent, strengthDriftPercent(differences)),
            ...magnetometerChecks(norm(correction.bias) / radius, longest / shortest),
          ]),
      shakeCheck(all.length - kept, all.length),
    ].map(judge),
  );
  const strength = rawScale ? (sensor === 'magnetometer' ? (options.length ?? 1) : 1) : length;
  return result({
    coverage,
    samplesUsed: kept,
    samplesRejected: notNumbers + all.length - kept,
    correction: {
      bias: vector3(correction.bias.map((v) => v / unit)),
      matrix: scaleMatrix3(correction.matrix, (unit * strength) / length),
    },
    covariance: inUnits(fit.covariance, unit, strength / length),
    length: strength,
    residualPercent,
  });
}

const isFinite3 = ([x, y, z]: Vector3): boolean => Number.isFinite(x + y + z);

const coverageFor = (sensor: OneSensorOptions['sensor'], cover: SphereCover): Coverage =>
  sensor === 'accelerometer' ? coverageOf(cover, undefined) : coverageOf(undefined, cover);

function coverFrom(
  flat: Float64Array,
  [x, y, z]: Vector3,
  matrix: Matrix3,
): { cover: SphereCover; attitudes: number; lengths: Float64Array } {
  const cover = new SphereCover();
  const seen = new Set<number>();
  const lengths = new Float64Array(flat.length / 3);
  for (let i = 0; i < lengths.length; i += 1) {
    const v = apply(matrix, [flat[3 * i] - x, flat[3 * i + 1] - y, flat[3 * i + 2] - z]);
    cover.add(...v);
    seen.add(cellOf(...v));
    lengths[i] = norm(v);
  }
  return { cover, attitudes: seen.size, lengths };
}

const correctionOf = (u: Float64Array): AffineCorrection => ({
  bias: [u[0], u[1], u[2]],
  matrix: [u[3], u[4], u[5], u[4], u[6], u[7], u[5], u[7], u[8]],
});

function tryFit(
  flat: Float64Array,
  sensor: OneSensorOptions['sensor'],
  length: number,
  { centre, radius }: { centre: Vector3; radius: number },
  rawScale: boolean,
): Adjustment | undefined {
  const isAccel = sensor === 'accelerometer';
  const free = isAccel && !rawScale;
  const scale = rawScale ? length / radius : 1;
  const mean = [0, 0, 0, scale, 0, 0, scale, 0, scale];
  const matrixSigma = free ? 0.02 : isAccel ? 0.1 * scale : 0.15 * scale;
  const prior: Prior = {
    mean,
    sigma: [0, 1, 2].map(() => (free ? 0.03 : 4 * radius)).concat(Array(6).fill(matrixSigma) as number[]),
  };
  const ellipsoid = fitEllipsoid(flat);
  const m = scaleMatrix3(ellipsoid?.matrix ?? identity3, ellipsoid ? length : length / radius);
  const start = [...(ellipsoid?.bias ?? centre), m[0], m[1], m[2], m[4], m[5], m[8]];
  let sigma = isAccel ? usualNoise.accelG : (usualNoise.fieldNt * radius) / 50_000;
  const robust = { threshold: 2.5, groupSize: 1 };
  try {
    let fit = adjust(lengthModel(flat, length, sigma), start, { prior, robust, maximumIterations: 30 });
    for (let round = 0; round < 2 && fit.degreesOfFreedom > 20; round += 1) {
      sigma *= Math.sqrt(fit.chiSquared / fit.degreesOfFreedom);
      fit = adjust(lengthModel(flat, length, sigma), fit.estimate, { prior, robust, maximumIterations: 30 });
    }
    return fit;
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

/** |M (y - b)| against `length`, over the noise of one reading (matrices near a multiple of one: no whitening is needed). */
export function lengthModel(flat: Float64Array, length: number, sigma: number): MeasurementModel {
  return {
    unknowns,
    residuals: flat.length / 3,
    evaluate(u, residual, jacobian) {
      const { bias, matrix } = correctionOf(u);
      for (let i = 0; i < residual.length; i += 1) {
        const off: Vector3 = [flat[3 * i] - bias[0], flat[3 * i + 1] - bias[1], flat[3 * i + 2] - bias[2]];
        const v = apply(matrix, off);
        const size = norm(v);
        residual[i] = (size - length) / sigma;
        const row = unknowns * i;
        for (let k = 0; k < 3; k += 1)
          jacobian[row + k] = -(matrix[k] * v[0] + matrix[3 + k] * v[1] + matrix[6 + k] * v[2]) / (size * sigma);
        elements.forEach(([p, q], k) => {
          jacobian[row + 3 + k] = (p === q ? v[p] * off[p] : v[p] * off[q] + v[q] * off[p]) / (size * sigma);
        });
      }
    },
  };
}

function inUnits(covariance: Float64Array, unit: number, lengthFactor: number): number[] {
  const factor = Array.from({ length: unknowns }, (_, i) => (i < 3 ? 1 / unit : unit * lengthFactor));
  return Array.from(covariance, (value, i) => value * factor[Math.floor(i / unknowns)] * factor[i % unknowns]);
}
