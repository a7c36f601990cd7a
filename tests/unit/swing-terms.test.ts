// Parts of the swing against numeric derivatives, dense matrices of ml-matrix and sums made the long way.
import { Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { adjustSwing } from '../../calibration/swing/adjustSwing.ts';
import { axisSeen } from '../../calibration/swing/axisSeen.ts';
import { axisOf, frameAbout, tiltedFrame } from '../../calibration/swing/frame.ts';
import { liveVariance } from '../../calibration/swing/liveVariance.ts';
import type { HeldDwell } from '../../calibration/swing/model.ts';
import { readingNoiseG, readingsWanted, RestSums, sigmaOfMean, StepSizes } from '../../calibration/swing/restNoise.ts';
import { covarianceUnderWander } from '../../calibration/swing/wander.ts';
import { normalise, scale, transpose, type Vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { exactCalibration, exactDwells, type ExactMount } from './swingExact.ts';

const mount: ExactMount = {
  altitudeRad: 43 * degree,
  magneticAzimuthRad: -6 * degree,
  fieldNt: 53_000,
  dipRad: 67 * degree,
  axisInBoard: normalise([0.97, 0.12, -0.2]),
  ironNt: [2000, -3100, 1300],
};
const rolls = [0, 31, 66, 95, 140, 171].map((roll) => roll * degree);

/** Two clippings, one of them the other way round; rests of unequal length, with noise, one without a time. */
const held = (() => {
  const random = new Random(3);
  const pauses = [4, 11, 19, 40, 47, 95];
  return exactDwells(mount, rolls).map((dwell, i): HeldDwell => {
    const [a, f] = [random.normal3(dwell.sigmaAccelG), random.normal3(dwell.sigmaFieldNt)];
    const plus = (v: Vector3, w: Vector3): Vector3 => [v[0] + w[0], v[1] + w[1], v[2] + w[2]];
    const timed = i === 4 ? {} : { fromS: pauses[i], toS: pauses[i] + 2 + i };
    const noisy = { accelG: plus(dwell.accelG, a), fieldNt: plus(dwell.fieldNt, f), samples: 60 + 50 * i, ...timed };
    return { dwell: { ...dwell, ...noisy }, clipping: i < 4 ? 0 : 1, sense: 1 };
  });
})();

const fitted = adjustSwing(
  held,
  exactCalibration(mount),
  [mount.axisInBoard, mount.axisInBoard],
  // any zero of the roll, either way round: the best of these is kept
  [0, 1, 2, 3, 4, 5].flatMap((zero) =>
    [1, -1].map((way) => ({
      altitudeRad: mount.altitudeRad,
      azimuthRad: mount.magneticAzimuthRad,
      rollRad: rolls.map((roll) => way * roll + zero),
      ironNt: [mount.ironNt, mount.ironNt],
    })),
  ),
  { turnAlongIronNt: 5000, turnAlongMatrix: 0.002, accelBiasG: 0.001, creepG: 0.0002, placeFieldNt: 400 },
);

describe('what the needles will show after a swing', () => {
  it.each([0, 2, 5])('varies at rest %d as numeric derivatives by every unknown have it', (index) => {
    const { model, adjustment, covariance } = fitted;
    const { dwell, clipping, sense } = held[index];
    const shown = (unknown: Float64Array) =>
      axisSeen(model.correctionAt(unknown, clipping), scale(axisOf(model.frameAt(unknown, clipping)), sense), dwell);
    const n = model.unknowns;
    const rows = { altitude: new Array<number>(n), azimuth: new Array<number>(n) };
    for (let j = 0; j < n; j += 1) {
      const step = 1e-4;
      const [more, less] = [step, -step].map((change) => {
        const at = Float64Array.from(adjustment.estimate);
        at[j] += change;
        return shown(at);
      });
      rows.altitude[j] = (more.altitudeRad - less.altitudeRad) / (2 * step);
      const turned = Math.sin(more.azimuthRad - less.azimuthRad);
      rows.azimuth[j] = turned / (2 * step);
    }
    const dense = Matrix.from1DArray(n, n, covariance);
    const variance = (row: number[]): number =>
      Matrix.rowVector(row).mmul(dense).mmul(Matrix.columnVector(row)).get(0, 0);
    const found = liveVariance(fitted, index);
    expect(found.altitude / variance(rows.altitude)).toBeCloseTo(1, 4);
    expect(found.azimuth / variance(rows.azimuth)).toBeCloseTo(1, 4);
  });

  it('the covariance has in it what rests that follow each other err alike', () => {
    const { adjustment } = fitted;
    const n = fitted.model.unknowns;
    const own = Matrix.from1DArray(n, n, adjustment.covariance);
    // of a rest's sigma the wander, a twentieth of the noise of one reading, that lasts for half a minute
    const shareOf = (samples: number): number => 0.05 / Math.hypot(1 / Math.sqrt(samples), 0.05);
    let common = Matrix.zeros(n, n);
    held.forEach((one, i) =>
      held.forEach((other, j) => {
        const [a, b] = [one.dwell, other.dwell];
        if (i === j || a.fromS === undefined || b.fromS === undefined) return;
        const gapS = Math.abs((a.fromS + a.toS!) / 2 - (b.fromS + b.toS!) / 2);
        const weights = adjustment.weight[i] * adjustment.weight[j];
        const alike = weights * shareOf(a.samples) * shareOf(b.samples) * Math.exp(-gapS / 30);
        for (let part = 3; part < 6; part += 1) {
          const row = (k: number) => [...adjustment.jacobian.subarray((6 * k + part) * n, (6 * k + part + 1) * n)];
          common = common.add(
            Matrix.columnVector(row(i))
              .mmul(Matrix.rowVector(row(j)))
              .mul(alike),
          );
        }
      }),
    );
    const expected = own.clone().add(own.mmul(common).mmul(own));
    const found = Matrix.from1DArray(n, n, covarianceUnderWander(held, adjustment));
    for (let j = 0; j < n; j += 1)
      for (let k = 0; k < n; k += 1) {
        const unit = Math.sqrt(expected.get(j, j) * expected.get(k, k));
        expect(found.get(j, k) / unit).toBeCloseTo(expected.get(j, k) / unit, 8);
      }
    expect(Math.abs(found.get(1, 1) / own.get(1, 1) - 1)).toBeGreaterThan(0.01);
  });

  it('iron about the place turns its north by its share of the level field', () => {
    const level = mount.fieldNt * Math.cos(mount.dipRad);
    expect(fitted.sigmaPlaceAzimuthRad).toBeCloseTo(400 / level, 3);
    expect(fitted.sigmaCreepRad).toBe(0.0002);
    expect(Math.abs(fitted.strengthPull)).toBeLessThan(4);
    expect(Math.abs(fitted.dipPull)).toBeLessThan(4);
  });
});

describe('the frame of the axis in the board', () => {
  it('stays a rotation while it is tilted, first about one tangent and then about the other', () => {
    const base = frameAbout(mount.axisInBoard);
    const { frame, byFirst, bySecond } = tiltedFrame(base, 0.3, -0.7);
    const product = Matrix.from1DArray(3, 3, [...transpose(frame)]).mmul(Matrix.from1DArray(3, 3, [...frame]));
    product.to1DArray().forEach((value, i) => expect(value).toBeCloseTo(i % 4 === 0 ? 1 : 0, 12));
    const step = 1e-6;
    [...byFirst].forEach((value, i) => {
      const [more, less] = [step, -step].map((change) => tiltedFrame(base, 0.3 + change, -0.7).frame[i]);
      expect(value).toBeCloseTo((more - less) / (2 * step), 8);
    });
    [...bySecond].forEach((value, i) => {
      const [more, less] = [step, -step].map((change) => tiltedFrame(base, 0.3, -0.7 + change).frame[i]);
      expect(value).toBeCloseTo((more - less) / (2 * step), 8);
    });
    axisOf(tiltedFrame(base, 0, 0).frame).forEach((value, i) => expect(value).toBeCloseTo(mount.axisInBoard[i], 12));
  });
});

describe('the noise of a rest', () => {
  const random = new Random(7);
  const readings = Array.from({ length: 9 }, (_, i) => ({
    boardS: 3 + 0.1 * i * i,
    accelG: random.normal3(0.01),
    fieldNt: random.normal3(200),
    temperatureC: 5 + i,
  }));
  const meanOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
  const scatterOf = (key: 'accelG' | 'fieldNt', some = readings): number => {
    const variances = [0, 1, 2].map((i) => {
      const values = some.map((reading) => reading[key][i]);
      const mean = meanOf(values);
      return values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1);
    });
    return Math.sqrt(meanOf(variances));
  };

  it('sums tell mean, scatter and time as all readings together do, also when two are joined', () => {
    const [whole, one, other] = [new RestSums(), new RestSums(), new RestSums()];
    readings.forEach((reading, i) => {
      whole.add(reading);
      (i < 4 ? one : other).add(reading);
    });
    const joined = new RestSums();
    joined.join(one);
    joined.join(other);
    for (const sums of [whole, joined]) {
      expect([sums.count, sums.fromS, sums.toS]).toEqual([9, 3, 3 + 0.1 * 64]);
      expect(sums.sum[6]).toBeCloseTo(81, 9);
      (
        [
          ['accelG', 0],
          ['fieldNt', 3],
        ] as const
      ).forEach(([key, first]) => {
        expect(sums.scatter(first) / scatterOf(key)).toBeCloseTo(1, 9);
        sums
          .mean(first)
          .forEach((value, i) => expect(value).toBeCloseTo(meanOf(readings.map((one) => one[key][i])), 9));
      });
    }
    const single = new RestSums();
    single.add(readings[2]);
    expect(single.scatter(0)).toBeCloseTo(0, 9);
  });

  it('a mean is as sure as its readings, their wander, and a step of the output that no noise dithers', () => {
    expect(sigmaOfMean(0.004, 100, 0)).toBeCloseTo(Math.hypot(0.0004, 0.0002), 12);
    // without noise a step leaves a uniform error: step over the root of twelve
    expect(sigmaOfMean(0, 50, 0.006)).toBeCloseTo(0.006 / Math.sqrt(12), 12);
    // with noise of half a step the first harmonic is left: exp(-2 (pi / 2)^2) of it
    const left = (0.006 / Math.sqrt(12)) * Math.exp(-4.934802);
    expect(sigmaOfMean(0.003, 1e9, 0.006)).toBeCloseTo(Math.hypot(0.003 * 0.05, left), 8);
  });

  it('as many readings are wanted as tell gravity to an arcminute, and never more than 400', () => {
    const wanted = readingsWanted(0.002);
    const sigmaG = Math.hypot(0.002 / Math.sqrt(wanted), 0.05 * 0.002);
    expect(sigmaG / arcminute).toBeCloseTo(1, 9);
    expect(readingsWanted(0.0055)).toBeCloseTo(400, 9);
    expect(readingsWanted(0.05)).toBeCloseTo(400, 9);
  });

  it('the noise of one reading is that of the typical rest', () => {
    const rest = (noiseG: number, samples: number) => ({
      accelG: [0, 0, 1] as Vector3,
      fieldNt: [0, 0, 0] as Vector3,
      sigmaAccelG: Math.hypot(noiseG / Math.sqrt(samples), 0.05 * noiseG),
      sigmaFieldNt: 30,
      samples,
    });
    expect(readingNoiseG([rest(0.009, 40), rest(0.002, 90), rest(0.003, 250)])).toBeCloseTo(0.003, 12);
  });

  it('the steps of a chip are the least changes that were seen, rounding apart', () => {
    const steps = new StepSizes();
    const offer = (x: number, nt: number): void => steps.offer({ boardS: 0, accelG: [0, x, 1], fieldNt: [nt, 0, 0] });
    offer(0.5, 100);
    expect([steps.accelG, steps.fieldNt]).toEqual([0, 0]);
    offer(0.512, 700);
    offer(0.508, 550);
    offer(0.508 + 1e-9, 550 + 1e-6);
    offer(0.52, 850);
    expect(steps.accelG).toBeCloseTo(0.004, 12);
    expect(steps.fieldNt).toBeCloseTo(150, 9);
  });
});
