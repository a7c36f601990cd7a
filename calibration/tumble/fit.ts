import { fitSphere } from '../ellipsoid.ts';
import type { Gate } from '../gate.ts';
import type { Vector3 } from '../vector.ts';
import { assess } from './assess.ts';
import { calibrationOf, inReadingUnits } from './calibration.ts';
import { coverageOf, SphereCover } from './coverage.ts';
import { estimateTumble, tumblePrior, type TumbleEstimate } from './estimate.ts';
import { coverageChecks, judge, strengthChecks, strengthDriftPercent, undeterminedGate } from './fitGates.ts';
import { singularValues3 } from './matrix.ts';
import { freshReadings } from './fresh.ts';
import { mergeNeighbours, type MergedReadings } from './merge.ts';
import { motionOf } from './motion.ts';
import { sensorGates } from './readingGates.ts';
import { attitudesSeen, countGates, evenOut, packReadings, roughVectors, sensorPart } from './readings.ts';
import { shortGates } from './short.ts';
import { startTumble, type TumbleStart } from './start.ts';
import type { ChipPrior, Coverage, TumbleCalibration, TumbleOptions, TumbleResult, TumbleSample } from './types.ts';

const usualChip: ChipPrior = { accelBiasG: 0.03, accelMatrix: 0.02, fieldMatrix: 0.15 };
/** Strength to which counts of unknown scale are brought for the fit alone. */
const workingFieldNt = 50_000;
const leastReadings = 12;

/**
 * Calibrates accelerometer and magnetometer together from readings of a board turned in the hand, without knowing any attitude.
 * Never throws on bad readings: the gates say what is wrong; the first `stop`, else the first `caution`, decides.
 */
export function fitTumble(samples: readonly TumbleSample[], options: TumbleOptions = {}): TumbleResult {
  const { site } = options;
  const rawAccel = options.rawScale?.accelerometer ?? false;
  const rawField = options.rawScale?.magnetometer ?? false;
  const accelUnit = rawAccel ? 1 / radiusOf(samples.map(({ accelG }) => accelG)) : 1;
  const fieldUnit = rawField ? workingFieldNt / radiusOf(samples.map(({ fieldNt }) => fieldNt)) : 1;
  const { readings: packed, notNumbers, times } = packReadings(samples, accelUnit, fieldUnit);
  const fresh = freshReadings(packed, times);
  const newest = fresh.readings;
  const together = mergeNeighbours(newest, roughVectors(newest, 0), roughVectors(newest, 3), fresh.times);
  const even = evenOut(together, roughVectors(together.readings, 0), roughVectors(together.readings, 3));
  const readings = even.readings;
  const given = total(even.counts);
  const gates: Gate[] = countGates(packed.length / 6, notNumbers, leastReadings);
  const refused = (): TumbleResult => ({
    accepted: false,
    gates,
    coverage: roughCoverage(readings),
    samplesUsed: 0,
    samplesRejected: notNumbers,
    calibration: undefined,
  });
  if (stops(gates)) return refused();
  gates.push(...shortGates(fresh.times, together));
  gates.push(
    ...sensorGates({
      name: 'accelerometer',
      flat: sensorPart(packed, 0),
      unit: rawAccel ? 'counts' : 'g',
      usualLength: rawAccel ? undefined : 1,
      fullScale: options.fullScale?.accelG,
    }),
    ...sensorGates({
      name: 'magnetometer',
      flat: sensorPart(packed, 3),
      unit: rawField ? 'counts' : 'nT',
      usualLength: rawField ? undefined : (site?.fieldNt ?? 45_000),
      fullScale: options.fullScale?.fieldNt,
    }),
  );
  if (stops(gates)) return refused();
  const rough = refused().coverage;
  const tooFew = coverageChecks(rough.percent, roughAttitudes(readings), rough.nextTurn).map(judge);
  if (stops(tooFew)) {
    gates.push(...tooFew);
    return refused();
  }

  gates.push(...fresh.gates);
  const start = startTumble(readings, site);
  const merged = start && withMotion(together, even, start);
  const estimate = merged && tryEstimate(merged, start, options);
  if (!start || !estimate) {
    gates.push(...(start ? hopelessGates(readings, start, rough) : [undeterminedGate(rough)]));
    return refused();
  }
  const calibration = calibrationOf(estimate, start.fieldNt);
  if (!estimate.adjustment.converged || ranAway(calibration, start)) {
    gates.push(...hopelessGates(readings, start, rough));
    return refused();
  }
  const assessed = assess(estimate, start, calibration, given, site, rawField);
  gates.push(...assessed.gates);
  return {
    accepted: !stops(gates),
    gates,
    coverage: assessed.coverage,
    samplesUsed: total(estimate.counts),
    samplesRejected: notNumbers + (packed.length - newest.length) / 6 + given - total(estimate.counts),
    calibration: inReadingUnits(calibration, accelUnit, fieldUnit, rawField && !site ? 1 : start.fieldNt),
  };
}

/** A chip's scale is never off by a factor of three: the fit has left what readings can mean. */
function ranAway({ correction }: TumbleCalibration, { nominal }: TumbleStart): boolean {
  const [longest, , shortest] = singularValues3(correction.magnetometer.matrix);
  const [scale] = singularValues3(nominal);
  return longest > 3 * scale || shortest < scale / 3;
}

/** Why no calibration explains the readings: the strength about the best sphere, else what is not covered. */
function hopelessGates(readings: Float64Array, start: TumbleStart, rough: Coverage): Gate[] {
  const flat = roughVectors(readings, 3);
  const strengths = Float64Array.from(
    { length: flat.length / 3 },
    (_, i) => Math.hypot(flat[3 * i], flat[3 * i + 1], flat[3 * i + 2]) / start.radiusNt - 1,
  );
  const residual = 100 * Math.sqrt(strengths.reduce((sum, value) => sum + value * value, 0) / strengths.length);
  const scattered = strengthChecks(residual, strengthDriftPercent(strengths)).map(judge);
  return stops(scattered) ? scattered : [undeterminedGate(rough)];
}

const total = (counts: Float64Array): number => counts.reduce((sum, count) => sum + count, 0);

const stops = (gates: readonly Gate[]): boolean => gates.some((gate) => gate.verdict === 'stop');

/** The even choice again, with how each reading was turned: that is known only among all of them. */
function withMotion(together: MergedReadings, even: MergedReadings, start: TumbleStart): MergedReadings {
  const motion = motionOf(together, start);
  if (!motion) return even;
  const { readings } = together;
  return evenOut({ ...together, motion }, roughVectors(readings, 0), roughVectors(readings, 3));
}

const radiusOf = (vectors: readonly Vector3[]): number =>
  fitSphere(vectors.filter(([x, y, z]) => Number.isFinite(x + y + z)).flat())?.radius ?? 1;

function tryEstimate(merged: MergedReadings, start: TumbleStart, options: TumbleOptions): TumbleEstimate | undefined {
  const chip = { ...usualChip, ...options.prior };
  const prior = tumblePrior(chip, start, options.site, options.rawScale?.magnetometer ?? false);
  try {
    return estimateTumble(merged, start, prior, options.noise);
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

function roughCoverage(readings: Float64Array): Coverage {
  const [up, field] = ([0, 3] as const).map((offset) => {
    const flat = roughVectors(readings, offset);
    const cover = new SphereCover();
    for (let i = 0; i < flat.length; i += 3) cover.add(flat[i], flat[i + 1], flat[i + 2]);
    return cover;
  });
  return coverageOf(up, field);
}

const roughAttitudes = (readings: Float64Array): number =>
  attitudesSeen(roughVectors(readings, 0), roughVectors(readings, 3));
