import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { correct, type AffineCorrection, type SensorCorrection } from '../../calibration/correction.ts';
import { fitEllipsoid } from '../../calibration/ellipsoid.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import type { TumbleSample } from '../../calibration/tumble/types.ts';
import { angleBetweenRad, dot, identity3, norm, type Vector3, vector3 } from '../../calibration/vector.ts';
import { angularDeviation, readSamples, readTable, worldAxes, type RecordedTable } from './tumble-files.ts';

const untouched: AffineCorrection = { bias: [0, 0, 0], matrix: identity3 };

/** The plain way to compare with: algebraic ellipsoid of the magnetometer, scaled to its mean strength, gravity as read. */
export function plainEllipsoid(samples: readonly TumbleSample[]): SensorCorrection | undefined {
  const magnetometer = fitEllipsoid(samples.flatMap(({ fieldNt }) => fieldNt));
  return magnetometer && { accelerometer: untouched, magnetometer };
}

export const joint = (samples: readonly TumbleSample[]): SensorCorrection => {
  const { calibration, gates } = fitTumble(samples);
  if (!calibration) throw new Error(`refused: ${gates.map(({ reason }) => reason).join('; ')}`);
  return calibration.correction;
};

export interface Swung {
  /** Standard deviation of the axis' azimuth over the shots. */
  azimuthSpreadRad: number;
  axisInBoard: Vector3;
}

/** The axis that eight rolls about it leave most at rest in the world: largest right singular vector of the mean attitude. */
function swingShots(shots: readonly TumbleSample[], correction: SensorCorrection): Swung {
  const attitudes = shots.map(({ accelG, fieldNt }) =>
    worldAxes(correct(correction.accelerometer, accelG), correct(correction.magnetometer, fieldNt)),
  );
  const mean = Matrix.zeros(3, 3);
  for (const axes of attitudes) axes.forEach((axis, i) => axis.forEach((v, k) => mean.set(i, k, mean.get(i, k) + v)));
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(mean.transpose().mmul(mean), {
    assumeSymmetric: true,
  });
  const [x, y, z] = eigenvectorMatrix.getColumn(realEigenvalues.indexOf(Math.max(...realEigenvalues)));
  const axis: Vector3 = y > 0 ? [x, y, z] : [-x, -y, -z];
  const azimuths = attitudes.map(([north, east]) => Math.atan2(dot(axis, east), dot(axis, north)));
  return { azimuthSpreadRad: angularDeviation(azimuths), axisInBoard: axis };
}

/** Tumble on all shots but one group, swing on that group, for groups 1 and 2. */
export function judgeShots(
  file: string,
  calibrate: (samples: readonly TumbleSample[]) => SensorCorrection | undefined,
): { spreadsRad: number[]; axisDisagreementRad: number } {
  const table = readTable(file);
  const samples = readSamples(table);
  const group = table.column('group');
  const swung = [1, 2].map((held) => {
    const correction = calibrate(samples.filter((_, i) => group[i] !== held));
    if (!correction) throw new Error(`${file}: no calibration without group ${held}`);
    return swingShots(
      samples.filter((_, i) => group[i] === held),
      correction,
    );
  });
  return {
    spreadsRad: swung.map(({ azimuthSpreadRad }) => azimuthSpreadRad),
    axisDisagreementRad: angleBetweenRad(swung[0].axisInBoard, swung[1].axisInBoard),
  };
}

/** Scatter of strength (of the mean, percent) and dip (radians) of corrected samples. */
export function scatter(
  samples: readonly TumbleSample[],
  correction: SensorCorrection,
): {
  strengthPercent: number;
  dipSpreadRad: number;
} {
  const up = samples.map(({ accelG }) => correct(correction.accelerometer, accelG));
  const field = samples.map(({ fieldNt }) => correct(correction.magnetometer, fieldNt));
  const strengths = field.map(norm);
  const mean = strengths.reduce((sum, s) => sum + s, 0) / strengths.length;
  const squared = strengths.reduce((sum, s) => sum + (s / mean - 1) ** 2, 0);
  return {
    strengthPercent: 100 * Math.sqrt(squared / strengths.length),
    dipSpreadRad: angularDeviation(up.map((u, i) => angleBetweenRad(u, field[i]))),
  };
}

/** Mean reading of each static position. */
export function positionMeans(table: RecordedTable): TumbleSample[] {
  const samples = readSamples(table);
  const position = table.text('pos');
  const names = [...new Set(position)];
  return names.map((name) => {
    const of = samples.filter((_, i) => position[i] === name);
    const mean = (pick: (sample: TumbleSample) => Vector3): Vector3 =>
      vector3([0, 1, 2].map((k) => of.reduce((sum, sample) => sum + pick(sample)[k], 0) / of.length));
    return { accelG: mean(({ accelG }) => accelG), fieldNt: mean(({ fieldNt }) => fieldNt) };
  });
}

/**
 * Error of the horizontal direction of the field against the optical attitude (quaternion sensor to east-north-up), radians, of
 * every row where the optics saw the board and gravity was within `steadyG` of 1 g: standard deviation about their mean, which
 * holds variation and the optics' own north.
 */
export function headingDeviation(
  table: RecordedTable,
  correction: SensorCorrection,
  steadyG: number,
): {
  deviationRad: number;
  tiltRmsRad: number;
  rows: number;
} {
  const [w, x, y, z] = ['qw', 'qx', 'qy', 'qz'].map((name) => table.column(name));
  const headings: number[] = [];
  let tilt = 0;
  readSamples(table).forEach(({ accelG, fieldNt }, i) => {
    if (!Number.isFinite(w[i])) return;
    const up = correct(correction.accelerometer, accelG);
    if (Math.abs(norm(up) - 1) > steadyG) return;
    const [magneticNorth] = worldAxes(up, correct(correction.magnetometer, fieldNt));
    const north = turn([w[i], x[i], y[i], z[i]], magneticNorth);
    headings.push(Math.atan2(north[0], north[1]));
    tilt += angleBetweenRad(turn([w[i], x[i], y[i], z[i]], up), [0, 0, 1]) ** 2;
  });
  return {
    deviationRad: angularDeviation(headings),
    tiltRmsRad: Math.sqrt(tilt / headings.length),
    rows: headings.length,
  };
}

/** v turned by a unit quaternion. */
function turn([w, x, y, z]: number[], [a, b, c]: Vector3): Vector3 {
  const tx = 2 * (y * c - z * b);
  const ty = 2 * (z * a - x * c);
  const tz = 2 * (x * b - y * a);
  return [a + w * tx + y * tz - z * ty, b + w * ty + z * tx - x * tz, c + w * tz + x * ty - y * tx];
}

export const asRead: SensorCorrection = { accelerometer: untouched, magnetometer: untouched };
