import { degree } from '../angle.ts';
import type { Gate } from '../gate.ts';
import type { SiteField } from '../tumble/types.ts';
import type { StandoffResult } from './fitStandoff.ts';

const placeLimit = { caution: 3, stop: 8 };
const deviationLimitDeg = { caution: 0.5, stop: 5 };

/** Verdicts on a stand-off measurement: is it sound, and is the place good? */
export function standoffGates(
  result: Omit<StandoffResult, 'accepted' | 'gates'>,
  lengths: number,
  site: SiteField | undefined,
  isTurningIronKnown: boolean,
): Gate[] {
  const deviationDeg = Math.abs(result.deviationRad) / degree;
  const gates: Gate[] = [
    {
      verdict: lengths < 3 ? 'caution' : 'ok',
      reason: 'spacer lengths: two do not tell how far off the iron is',
      value: lengths,
      limit: 3,
      unit: '',
      nextAction: 'Measure on a third spacer, twice as long as the second.',
    },
    {
      verdict: graded(result.misfit, { caution: 4, stop: 25 }),
      reason: 'the readings do not fall off as those of one piece of iron below the board do',
      value: result.misfit,
      limit: 4,
      unit: 'chi-squared per degree of freedom',
      nextAction: 'Keep the board parallel to itself, put only wood or plastic between, and measure again.',
    },
    {
      verdict: graded(deviationDeg, deviationLimitDeg),
      reason: 'iron near the clip turns the compass',
      value: deviationDeg,
      limit: deviationLimitDeg.caution,
      unit: 'deg',
      nextAction: `Leave the board on a spacer of ${Math.ceil(result.spacerNeededM * 100)} cm of wood or plastic, or add the deviation to the variation.`,
    },
  ];
  if (site) {
    const off = Math.max(
      Math.abs(result.strengthNt - site.fieldNt) / Math.hypot(result.sigmaStrengthNt, site.sigmaFieldNt),
      Math.abs(result.dipRad - site.dipRad) / Math.hypot(result.sigmaDipRad, site.sigmaDipRad),
    );
    gates.push({
      verdict: graded(off, isTurningIronKnown ? placeLimit : { ...placeLimit, stop: Infinity }),
      reason: isTurningIronKnown
        ? 'even without the iron below the clip, strength or dip of the field is not what the magnetic model gives: the place is bad'
        : 'strength or dip is not what the magnetic model gives: the place is bad, or iron turns along, which a swing will tell',
      value: off,
      limit: placeLimit.caution,
      unit: 'sigmas',
      nextAction: isTurningIronKnown
        ? 'Move the mount away from cars, fences, pipes and reinforced floors; no spacer helps here.'
        : 'Swing the axis, then measure the stand-off again.',
    });
  }
  return gates;
}

const graded = (value: number, { caution, stop }: { caution: number; stop: number }): Gate['verdict'] =>
  !(value <= stop) ? 'stop' : value > caution ? 'caution' : 'ok';
