import { fitSphere } from '../ellipsoid.ts';
import type { Gate } from '../gate.ts';
import type { Vector3 } from '../vector.ts';
import { assess } from './assess.ts';
import { calibrationOf, inReadingUnits } from './calibration.ts';
import { coverageOf, SphereCover } from './coverage.ts';
import { estimateTumble, type TumbleEstimate } from './estimate.ts';
import { coverageChecks, judge, strengthChecks, strengthDriftPercent, undeterminedGate } from './fitGates.ts';
import { singularValues3 } from './matrix.ts';
import { freshReadings, type FreshReadings } from './fresh.ts';
import type { MergedReadings } from './mergedReadings.ts';
import { mergeNeighbours } from './merge.ts';
import { motionOf } from './motion.ts';
import { sensorGates } from './readingGates.ts';
import { attitudesSeen, countGates, evenOut, packReadings, roughVectors, sensorPart } from './readings.ts';
import { shortGates } from './short.ts';
import { startTumble, type TumbleStart } from './start.ts';
import { tumblePrior } from './tumblePrior.ts';
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
  const units = workingUnits(samples, options);
  const taken = takeIn(samples, units);
  const refused = (gates: readonly Gate[]): TumbleResult => ({
    accepted: false,
    gates,
    coverage: taken.rough,
    samplesUsed: 0,
    samplesRejected: taken.notNumbers,
    calibration: undefined,
  });

  const before = gatesBeforeFit(taken, options);
  if (stops(before)) return refused(before);
  const gates = [...before, ...taken.fresh.gates];

  const start = startTumble(taken.even.readings, options.site);
  if (!start) return refused([...gates, undeterminedGate(taken.rough)]);
  const estimate = tryEstimate(withMotion(taken, start), start, options);
  const calibration = estimate && calibrationOf(estimate, start.fieldNt);
  if (!calibration || !estimate.adjustment.converged || ranAway(calibration, start)) {
    return refused([...gates, ...hopelessGates(taken, start)]);
  }

  const { site, rawScale } = options;
  const rawField = rawScale?.magnetometer ?? false;
  const given = total(taken.even.counts);
  const assessed = assess(estimate, start, calibration, given, site, rawField);
  const all = [...gates, ...assessed.gates];
  const [used, repeated] = [total(estimate.counts), taken.packed.length / 6 - taken.fresh.readings.length / 6];
  return {
    accepted: !stops(all),
    gates: all,
    coverage: assessed.coverage,
    samplesUsed: used,
    samplesRejected: taken.notNumbers + repeated + given - used,
    calibration: inReadingUnits(calibration, units.accel, units.field, rawField && !site ? 1 : start.fieldNt),
  };
}

/** What readings are multiplied by for the fit: counts of unknown scale come to about the usual lengths. */
interface WorkingUnits {
  accel: number;
  field: number;
}

function workingUnits(samples: readonly TumbleSample[], { rawScale }: TumbleOptions): WorkingUnits {
  return {
    accel: rawScale?.accelerometer ? 1 / radiusOf(samples.map(({ accelG }) => accelG)) : 1,
    field: rawScale?.magnetometer ? workingFieldNt / radiusOf(samples.map(({ fieldNt }) => fieldNt)) : 1,
  };
}

/** Readings on their way into a fit. */
interface TakenIn {
  /** All that are numbers, and how many are not. */
  packed: Float64Array;
  notNumbers: number;
  /** Those that tell something new. */
  fresh: FreshReadings;
  /** Their means over neighbours, and of these no attitude's more than its share. */
  together: MergedReadings;
  even: MergedReadings;
  /** Of the sphere, as far as it can be told before there is a calibration. */
  rough: Coverage;
}

function takeIn(samples: readonly TumbleSample[], units: WorkingUnits): TakenIn {
  const { readings: packed, notNumbers, times } = packReadings(samples, units.accel, units.field);
  const fresh = freshReadings(packed, times);
  const newest = fresh.readings;
  const together = mergeNeighbours(newest, roughVectors(newest, 0), roughVectors(newest, 3), fresh.times);
  const even = evenRough(together);
  return { packed, notNumbers, fresh, together, even, rough: roughCoverage(even.readings) };
}

const evenRough = (merged: MergedReadings): MergedReadings =>
  evenOut(merged, roughVectors(merged.readings, 0), roughVectors(merged.readings, 3));

/** Whether the readings are worth a fit: enough numbers, sane sensors, enough of the sphere. */
function gatesBeforeFit(taken: TakenIn, { site, rawScale, fullScale }: TumbleOptions): Gate[] {
  const { packed, notNumbers, fresh, together, even, rough } = taken;
  const counted = countGates(packed.length / 6, notNumbers, leastReadings);
  if (stops(counted)) return counted;
  const sensed = [
    ...counted,
    ...shortGates(fresh.times, together),
    ...sensorGates({
      name: 'accelerometer',
      flat: sensorPart(packed, 0),
      unit: rawScale?.accelerometer ? 'counts' : 'g',
      usualLength: rawScale?.accelerometer ? undefined : 1,
      fullScale: fullScale?.accelG,
    }),
    ...sensorGates({
      name: 'magnetometer',
      flat: sensorPart(packed, 3),
      unit: rawScale?.magnetometer ? 'counts' : 'nT',
      usualLength: rawScale?.magnetometer ? undefined : (site?.fieldNt ?? 45_000),
      fullScale: fullScale?.fieldNt,
    }),
  ];
  if (stops(sensed)) return sensed;
  const covered = coverageChecks(rough.percent, roughAttitudes(even.readings), rough.nextTurn).map(judge);
  return stops(covered) ? [...sensed, ...covered] : sensed;
}

/** A chip's scale is never off by a factor of three: the fit has left what readings can mean. */
function ranAway({ correction }: TumbleCalibration, { nominal }: TumbleStart): boolean {
  const [longest, , shortest] = singularValues3(correction.magnetometer.matrix);
  const [scale] = singularValues3(nominal);
  return longest > 3 * scale || shortest < scale / 3;
}

/** Why no calibration explains the readings: the strength about the best sphere, else what is not covered. */
function hopelessGates({ even, rough }: TakenIn, start: TumbleStart): Gate[] {
  const flat = roughVectors(even.readings, 3);
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
function withMotion({ together, even }: TakenIn, start: TumbleStart): MergedReadings {
  const motion = motionOf(together, start);
  return motion ? evenRough({ ...together, motion }) : even;
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
