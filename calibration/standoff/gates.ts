import { degree } from '../angle.ts';
import type { Gate } from '../gate.ts';
import { dot, type Vector3 } from '../vector.ts';
import type { StandoffOptions, StandoffResult } from './types.ts';

const placeLimit = { caution: 3, stop: 8 };
const deviationLimitDeg = { caution: 0.5, stop: 5 };
/** Beyond this the compass is hardly steered by the Earth any more, and nothing can be added or subtracted. */
export const farDeviationRad = 20 * degree;
/** More than any mount that is being set up is off in altitude. */
const seatLimitDeg = 20;

/** Iron whose field stands out of its noise; it may lie so that it turns the compass little. */
export const isIronSeen = ({ ironNt, sigmaIronNt }: Pick<StandoffResult, 'ironNt' | 'sigmaIronNt'>): boolean =>
  ironNt > seenSigmas * sigmaIronNt;

/** The size of three noisy components passes this once in three hundred times (chi-squared, three degrees of freedom: 14.2). */
const seenSigmas = 3.8;

type Fitted = Omit<StandoffResult, 'accepted' | 'gates' | 'isTelling'>;

/**
 * Whether the readings were taken on the spacers that are named at all. A refusal of its own: nothing that was fitted to them
 * means anything.
 * @param growth as `growthWithSpacer` gives it
 */
export function spacerDoubts(
  result: Fitted,
  growth: number | undefined,
  { site, isTurningIronKnown = false }: StandoffOptions,
): Gate[] {
  if (growth !== undefined) {
    return [
      {
        verdict: 'stop',
        reason:
          'the field changes faster between the longer spacers than between the shorter ones, the opposite of what iron below the board does',
        value: growth,
        limit: 1,
        unit: 'times',
        nextAction:
          'Check that you named the spacers in the order in which you used them. If you did, measure again, and do not turn or tilt the board when you change them.',
      },
    ];
  }
  const offSigmas = site && !isTurningIronKnown && !isIronSeen(result) ? sigmasOff(result, site) : 0;
  if (offSigmas <= placeLimit.stop) return [];
  return [
    {
      verdict: 'stop',
      reason: 'the spacers changed nothing, yet strength or dip differs from the magnetic model',
      value: offSigmas,
      limit: placeLimit.stop,
      unit: 'sigmas',
      nextAction:
        'Check that each spacer lifted the board off the mount. If it did, the iron turns with the axis or is farther away: swing the axis, then measure again.',
    },
  ];
}

const sigmasOff = (
  { strengthNt, sigmaStrengthNt, dipRad, sigmaDipRad }: Fitted,
  site: NonNullable<StandoffOptions['site']>,
): number =>
  Math.max(
    Math.abs(strengthNt - site.fieldNt) / Math.hypot(sigmaStrengthNt, site.sigmaFieldNt),
    Math.abs(dipRad - site.dipRad) / Math.hypot(sigmaDipRad, site.sigmaDipRad),
  );

/** Verdicts on a stand-off measurement: is it sound, and is the place good? */
export function standoffGates(
  result: Fitted,
  lengths: number,
  up: Vector3,
  { site, isTurningIronKnown = false, swung }: StandoffOptions,
): Gate[] {
  const deviationDeg = Math.abs(result.deviationRad) / degree;
  const gates: Gate[] = [
    ...(swung ? [seatGate(up, swung)] : []),
    {
      verdict: lengths < 3 ? 'caution' : 'ok',
      reason: 'spacer lengths: two do not show how far away the iron is',
      value: lengths,
      limit: 3,
      unit: '',
      nextAction: 'Measure on a third spacer, twice as long as the second.',
    },
    {
      ...graded(result.misfit, { caution: 4, stop: 25 }),
      reason: 'the readings do not fall off as those of one piece of iron below the board do',
      unit: 'chi-squared per degree of freedom',
      nextAction:
        'Use only wood or plastic as spacers. Do not turn or tilt the board when you change them, and measure again.',
    },
    {
      ...graded(deviationDeg, deviationLimitDeg),
      reason: 'iron near the clip turns the compass',
      unit: 'deg',
      nextAction: againstIron(deviationDeg, result.spacerNeededM),
    },
  ];
  if (site) {
    gates.push({
      ...graded(sigmasOff(result, site), isTurningIronKnown ? placeLimit : { ...placeLimit, stop: Infinity }),
      reason: isTurningIronKnown
        ? 'strength or dip of the field differs from the magnetic model even without the iron below the clip: there is more iron nearby'
        : 'strength or dip differs from the magnetic model: there is iron nearby, or iron turns with the axis, which a swing will show',
      unit: 'sigmas',
      nextAction: isTurningIronKnown
        ? 'Move the mount away from cars, fences, pipes and reinforced floors; no spacer helps here.'
        : 'Swing the axis, then measure the stand-off again.',
    });
  }
  return gates;
}

function againstIron(deviationDeg: number, spacerM: number): string {
  if (deviationDeg > farDeviationRad / degree)
    return 'Here the iron steers the compass, not the Earth: clip the board elsewhere, or take mount or iron away.';
  const spacer = `Leave the board on a spacer of ${Math.ceil(spacerM * 100)} cm of wood or plastic`;
  return deviationDeg > deviationLimitDeg.stop
    ? `${spacer}, or clip it elsewhere; a deviation as large as this must not be saved with the site.`
    : `${spacer}, or save the deviation with the site: the needles then correct for it.`;
}

/** A swing's iron turns with the board: it is of no use to a board that is clipped on otherwise. */
function seatGate(up: Vector3, { axisInBoard, altitudeRad }: NonNullable<StandoffOptions['swung']>): Gate {
  const offDeg = Math.abs(Math.asin(Math.min(Math.max(dot(up, axisInBoard), -1), 1)) - altitudeRad) / degree;
  return {
    verdict: offDeg > seatLimitDeg ? 'stop' : 'ok',
    reason: 'the board does not sit in its clip as in the kept swing: the axis would point above or below the pole',
    value: offDeg,
    limit: seatLimitDeg,
    unit: 'deg',
    nextAction: 'Clip the board on the way it was swung last, or swing the axis again as it is clipped now.',
  };
}

const graded = (
  value: number,
  { caution, stop }: { caution: number; stop: number },
): Pick<Gate, 'verdict' | 'value' | 'limit'> =>
  !(value <= stop)
    ? { verdict: 'stop', value, limit: stop }
    : { verdict: value > caution ? 'caution' : 'ok', value, limit: caution };
