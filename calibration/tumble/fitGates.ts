import { degree } from '../angle.ts';
import type { Gate } from '../gate.ts';
import type { Coverage, SiteField } from './types.ts';

/** A number above (or below) its limits is a caution or a stop; a limit that is undefined is not looked at. */
export interface Limits {
  caution?: number;
  stop?: number;
}

export interface Check {
  reason: string;
  value: number;
  limits: Limits;
  unit: string;
  isSigma?: true;
  nextAction: string;
  /** 'below': small values are bad. */
  bad?: 'above' | 'below';
}

export function judge({ reason, value, limits, unit, isSigma, nextAction, bad = 'above' }: Check): Gate {
  const crosses = (limit: number | undefined): boolean =>
    limit !== undefined && (bad === 'above' ? !(value <= limit) : !(value >= limit));
  const verdict = crosses(limits.stop) ? 'stop' : crosses(limits.caution) ? 'caution' : 'ok';
  const limit = (verdict === 'stop' ? limits.stop : limits.caution) ?? limits.stop ?? NaN;
  return { verdict, reason, value, limit, unit, ...(isSigma && { isSigma }), nextAction };
}

const cleanPlace =
  'Go to a place away from iron, wiring and magnets (three metres from a car or a building), and tumble again.';
const moreTurns = 'Turn the board through more attitudes.';

/** Drift of the strength from place to place or time to time: rms of the means of ten stretches of the tumble, percent. */
export function strengthDriftPercent(relativeStrength: Float64Array): number | undefined {
  const stretches = 10;
  const n = relativeStrength.length;
  if (n < 20 * stretches) return undefined;
  let squared = 0;
  for (let s = 0; s < stretches; s += 1) {
    const [from, to] = [Math.floor((s * n) / stretches), Math.floor(((s + 1) * n) / stretches)];
    let sum = 0;
    for (let i = from; i < to; i += 1) sum += relativeStrength[i];
    squared += (sum / (to - from)) ** 2 / stretches;
  }
  return 100 * Math.sqrt(squared);
}

export const coverageChecks = (
  percent: number,
  attitudes: number,
  nextTurn: string | undefined,
  leastAttitudes = 12,
): Check[] => [
  {
    reason: 'share of the sphere covered',
    value: percent,
    limits: { caution: 70, stop: 35 },
    unit: 'percent',
    nextAction: nextTurn ?? moreTurns,
    bad: 'below',
  },
  {
    reason: 'number of different attitudes',
    value: attitudes,
    limits: { stop: leastAttitudes },
    unit: 'attitudes',
    nextAction: nextTurn ?? moreTurns,
    bad: 'below',
  },
];

export const shakeCheck = (rejected: number, total: number): Check => ({
  reason: 'readings left out as shaken or broken',
  value: (100 * rejected) / total,
  limits: { caution: 10, stop: 40 },
  unit: 'percent',
  nextAction: 'Turn the board slowly and steadily, resting for a moment in each attitude.',
});

export const lagCheck = (lagS: number): Check => ({
  reason: `the magnetometer is read ${lagS < 0 ? 'earlier' : 'later'} than the accelerometer: allowed for`,
  value: 1000 * Math.abs(lagS),
  limits: { caution: 50 },
  unit: 'ms',
  nextAction: 'Turn the board slowly, resting for a moment in each attitude: then it does not matter.',
});

export const accelerometerChecks = (biasG: number, matrixOff: number, residualPercent: number): Check[] => [
  {
    reason: "the accelerometer's bias",
    value: biasG,
    limits: { caution: 0.12, stop: 0.35 },
    unit: 'g',
    nextAction: 'Check that the chip is sound and the unit is g.',
  },
  {
    reason: "the accelerometer's scale and cross-axis error",
    value: 100 * matrixOff,
    limits: { caution: 8, stop: 25 },
    unit: 'percent',
    nextAction: 'Check that the chip is sound and the unit is g.',
  },
  {
    reason: 'scatter of gravity: the board was shaken',
    value: residualPercent,
    limits: { caution: 3, stop: 10 },
    unit: 'percent',
    nextAction: 'Turn the board slowly, resting for a moment in each attitude.',
  },
];

export const magnetometerChecks = (offsetOverField: number, axesRatio: number): Check[] => [
  {
    reason: "the magnetometer's offset (hard iron) over the field",
    value: offsetOverField,
    limits: { caution: 2, stop: 5 },
    unit: 'times the field',
    nextAction: 'Take magnets, screws and batteries away from the board.',
  },
  {
    reason: 'soft-iron distortion (longest over shortest axis)',
    value: axesRatio,
    limits: { caution: 1.3, stop: 2 },
    unit: 'times',
    nextAction: 'Take iron away from the board; if it stays, the chip is at fault.',
  },
];

export const strengthChecks = (residualPercent: number, driftPercent: number | undefined): Check[] => [
  {
    reason: 'scatter of the field strength after correction: the field differs from place to place',
    value: residualPercent,
    limits: { caution: 1.5, stop: 4 },
    unit: 'percent',
    nextAction: cleanPlace,
  },
  ...(driftPercent === undefined
    ? []
    : [
        {
          reason: 'drift of the field strength during the tumble: iron or a magnet nearby',
          value: driftPercent,
          limits: { caution: 1, stop: 2.5 },
          unit: 'percent',
          nextAction: cleanPlace,
        },
      ]),
];

export const sigmaChecks = (sigmaHeadingRad: number, sigmaTiltRad: number, nextTurn: string | undefined): Check[] => [
  {
    reason: 'heading uncertainty',
    value: sigmaHeadingRad / degree,
    limits: { caution: 0.5, stop: 2 },
    unit: 'degrees',
    isSigma: true,
    nextAction: nextTurn ?? 'Take more readings, slowly, through every attitude.',
  },
  {
    reason: 'tilt uncertainty',
    value: sigmaTiltRad / degree,
    limits: { caution: 0.15, stop: 0.6 },
    unit: 'degrees',
    isSigma: true,
    nextAction: nextTurn ?? 'Take more readings, slowly, through every attitude.',
  },
];

export const dipSpreadCheck = (dipSpreadRad: number): Check => ({
  reason: 'scatter of the angle between gravity and field',
  value: dipSpreadRad / degree,
  limits: { caution: 3, stop: 6 },
  unit: 'degrees',
  nextAction: cleanPlace,
});

/** The place against the magnetic model. */
export function siteChecks(
  strengthRatio: number,
  rawScale: boolean,
  byReadings: { dipRad: number; sigmaRad: number } | undefined,
  site: SiteField,
): Check[] {
  const checks: Check[] = [];
  if (!rawScale) {
    checks.push({
      reason: "field strength by the chip's own scale against the magnetic model: iron nearby, or a faulty chip",
      value: 100 * Math.abs(strengthRatio - 1),
      limits: { caution: 10, stop: 35 },
      unit: 'percent',
      nextAction: cleanPlace,
    });
  }
  if (byReadings) {
    const off = Math.abs(byReadings.dipRad - site.dipRad);
    const threeSigma = 3 * Math.hypot(byReadings.sigmaRad, site.sigmaDipRad);
    checks.push({
      reason: 'dip against the magnetic model: iron nearby',
      value: off / degree,
      limits: { caution: threeSigma / degree, stop: Math.max(2, (2 * threeSigma) / degree) },
      unit: 'degrees',
      nextAction: cleanPlace,
    });
  }
  return checks;
}

export const undeterminedGate = ({ percent, nextTurn }: Coverage): Gate => ({
  verdict: 'stop',
  reason: 'the readings do not determine the calibration',
  value: percent,
  limit: 100,
  unit: 'percent of the sphere',
  nextAction: nextTurn ?? moreTurns,
});
