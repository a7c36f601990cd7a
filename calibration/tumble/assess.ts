import type { Gate } from '../gate.ts';
import { apply, norm, type Vector3 } from '../vector.ts';
import type { AffineCorrection } from '../correction.ts';
import { rmsOf } from './calibration.ts';
import { coverageOf, SphereCover } from './coverage.ts';
import type { TumbleEstimate } from './estimate.ts';
import {
  accelerometerChecks,
  coverageChecks,
  dipSpreadCheck,
  judge,
  lagCheck,
  magnetometerChecks,
  shakeCheck,
  sigmaChecks,
  siteChecks,
  strengthChecks,
  strengthDriftPercent,
} from './fitGates.ts';
import { frameGates } from './frameGates.ts';
import { invariantDifferences } from './invariants.ts';
import { singularValues3 } from './matrix.ts';
import { attitudesSeen } from './readings.ts';
import type { TumbleStart } from './start.ts';
import type { Coverage, SiteField, TumbleCalibration } from './types.ts';

/** Coverage by the corrected readings, and every gate that a fit has to pass. */
export function assess(
  estimate: TumbleEstimate,
  start: TumbleStart,
  calibration: TumbleCalibration,
  given: number,
  site: SiteField | undefined,
  rawField: boolean,
): { coverage: Coverage; gates: Gate[] } {
  const { readings, counts, adjustment } = estimate;
  const { accelerometer, magnetometer } = calibration.correction;
  const up = directions(readings, 0, accelerometer);
  const field = directions(readings, 3, magnetometer);
  const coverage = coverageOf(up.cover, field.cover);
  const differences = invariantDifferences(readings, start.fieldNt, adjustment.estimate);
  const strengths = Float64Array.from(counts, (_, i) => differences[3 * i + 1]);
  const matrixOff = Math.max(...accelerometer.matrix.map((v, i) => Math.abs(v - (i % 4 === 0 ? 1 : 0))));
  const [longest, , shortest] = singularValues3(magnetometer.matrix);
  const checks = [
    ...coverageChecks(coverage.percent, attitudesSeen(up.flat, field.flat), coverage.nextTurn),
    ...strengthChecks(calibration.fieldResidualPercent, strengthDriftPercent(strengths)),
    dipSpreadCheck(calibration.dipSpreadRad),
    lagCheck(estimate.lagS),
    shakeCheck(given - calibration.samplesUsed, given),
    ...accelerometerChecks(norm(accelerometer.bias), matrixOff, 100 * rmsOf(differences, 0)),
    ...magnetometerChecks(norm(magnetometer.bias) / start.radiusNt, longest / shortest),
    ...sigmaChecks(calibration.sigmaHeadingRad, calibration.sigmaTiltRad, coverage.nextTurn),
    ...(site ? siteChecks(start.radiusNt / site.fieldNt, rawField, dipByReadings(calibration, site), site) : []),
  ];
  return {
    coverage,
    gates: [...frameGates(start.frames, start.nominal, magnetometer.matrix), ...checks.map(judge)],
  };
}

/** Corrected directions of one sensor (three numbers each), and what they cover. */
function directions(
  readings: Float64Array,
  offset: 0 | 3,
  { bias, matrix }: AffineCorrection,
): { flat: Float64Array; cover: SphereCover } {
  const flat = new Float64Array(readings.length / 2);
  const cover = new SphereCover();
  for (let i = 0; i < readings.length / 6; i += 1) {
    const j = 6 * i + offset;
    const off: Vector3 = [readings[j] - bias[0], readings[j + 1] - bias[1], readings[j + 2] - bias[2]];
    const corrected = apply(matrix, off);
    flat.set(corrected, 3 * i);
    cover.add(...corrected);
  }
  return { flat, cover };
}

/** The dip that the readings alone give: the fit's, with the model's share taken out again. */
function dipByReadings(
  { dipRad, sigmaDipRad }: TumbleCalibration,
  site: SiteField,
): { dipRad: number; sigmaRad: number } | undefined {
  const information = 1 / sigmaDipRad ** 2 - 1 / site.sigmaDipRad ** 2;
  if (!(information > 0.05 / site.sigmaDipRad ** 2)) return undefined;
  const sum = dipRad / sigmaDipRad ** 2 - site.dipRad / site.sigmaDipRad ** 2;
  return { dipRad: sum / information, sigmaRad: 1 / Math.sqrt(information) };
}
