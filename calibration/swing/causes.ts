import { degree } from '../angle.ts';
import type { Gate } from '../gate.ts';
import type { PolarErrors } from '../polarAxis.ts';
import { angleBetweenRad, norm, subtract } from '../vector.ts';
import type { AdjustedSwing } from './adjustSwing.ts';
import { axisOf } from './frame.ts';
import { atMost, fitNoAxis } from './limits.ts';
import type { SwingSite } from './types.ts';

/** The tumble allows 2 degrees. More than 15 no iron in a room does, but a few hundred kilometres, or the wrong sign, do. */
const siteDipDeg = { caution: 3, stop: 15 };
/** Much less than the half turn that a reversal asks for, and more than any clip is off. */
const leastTurnDeg = 150;
/** A mount set down by eye and a hand compass is nearer to the pole than this (assumed). */
const fromPoleDeg = { caution: 25, stop: 45 };
/** By how much the field must change in the board while gravity swings by `turnedG`. */
const stuckShare = 0.001;
const turnedG = 0.2;

/** By how much the board was turned end for end, of 180 degrees that are asked for. */
export const turnGate = (turnedRad: number, nextAction: string): Gate => ({
  verdict: turnedRad / degree >= leastTurnDeg ? 'ok' : 'stop',
  reason: 'angle by which the board was turned end for end; half a turn is expected',
  value: turnedRad / degree,
  limit: leastTurnDeg,
  unit: 'deg',
  nextAction,
});

/** Each further clipping against the first: the axis must point the other way through the board. */
export function endForEndGates({ model, adjustment, clippings }: AdjustedSwing): Gate[] {
  const axes = Array.from({ length: clippings }, (_, clipping) => axisOf(model.frameAt(adjustment.estimate, clipping)));
  return axes
    .slice(1)
    .map((axis) =>
      turnGate(
        angleBetweenRad(axes[0], axis),
        'Clip the board on end for end and swing again, or give up the second swing; the same rests twice add nothing new.',
      ),
    );
}

/** Is the board where the site says it is? The dip is another one on the other side of the magnetic equator. */
export function siteGates({ calibration }: AdjustedSwing, site: SwingSite | undefined): Gate[] {
  if (!site) return [];
  const offDeg = Math.abs(calibration.dipRad - site.dipRad) / degree;
  const isOtherSide = Math.sign(calibration.dipRad) !== Math.sign(site.dipRad);
  return [
    {
      ...atMost(offDeg, siteDipDeg),
      reason: 'dip of the field as the tumble saw it against that of the site by the magnetic model',
      unit: 'deg',
      nextAction: isOtherSide
        ? 'The tumble was made on the other side of the magnetic equator: is the latitude north or south? Then check longitude and date.'
        : 'Check latitude, longitude (east or west) and date of the site; else tumble again near the mount, away from iron.',
    },
  ];
}

/**
 * The checks that name a cause, then the others. Where a cause stops, the fit that went wrong with it tells nothing of its own,
 * least of all that something moved: its refusals point to the cause, its cautions are left out.
 */
export function causesFirst(causes: readonly Gate[], others: readonly Gate[]): Gate[] {
  if (!causes.some(({ verdict }) => verdict === 'stop')) return [...causes, ...others];
  const nextAction = 'This may follow from the refusal above: correct that first.';
  return [
    ...causes,
    ...others
      .filter((gate) => gate.verdict !== 'caution' || !restsOnFit(gate))
      .map((gate) => (gate.verdict === 'stop' && restsOnFit(gate) ? { ...gate, nextAction } : gate)),
  ];
}

/** Does an axis that the rests fit stand anywhere near the pole? Another axis of the mount, or its back, does not. */
export function poleGates(swing: AdjustedSwing, errors: PolarErrors | undefined): Gate[] {
  if (!errors || fitNoAxis(swing)) return [];
  return [
    {
      ...atMost(errors.distanceRad / degree, fromPoleDeg),
      reason: 'distance of the axis from the elevated pole, where a mount is set down roughly right',
      unit: 'deg',
      nextAction:
        'Check that you turned the right-ascension axis, not the declination axis. Check that its upper end points to the pole, and that latitude and longitude of the site are right.',
    },
  ];
}

/** A magnetometer that reads the same while gravity shows that the board was turned. */
export function stuckGates({ held, calibration }: AdjustedSwing): Gate[] {
  const largest = (of: 'accelG' | 'fieldNt'): number =>
    Math.max(...held.map(({ dwell }) => norm(subtract(dwell[of], held[0].dwell[of]))));
  const changedNt = largest('fieldNt');
  const limit = stuckShare * calibration.fieldNt;
  if (!(largest('accelG') > turnedG) || changedNt > limit) return [];
  return [
    {
      verdict: 'stop',
      reason: 'change of the magnetometer while the board was turned: it reads the same all the time',
      value: Math.round(changedNt),
      limit,
      unit: 'nT',
      nextAction:
        'Check the wires and the supply of the magnetometer, or the program that records it, then tumble and swing again.',
    },
  ];
}

/** A verdict that tells something only if the fit is a fit. */
export const restsOnFit = ({ unit, reason }: Gate): boolean => unit === 'sigmas' || reason.startsWith('uncertainty');
