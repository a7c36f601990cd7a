import type { Balance } from './balance.ts';
import { momentsOf, tubeMassKg, type Rig } from './rig.ts';

/** A mass that would bring the tube into balance at the end of the dovetail's travel. */
interface TubeCure {
  massKg: number;
  /** Where it goes, with the dovetail where it is now. */
  alongMm: number;
  end: 'sky' | 'eyepiece';
  /** Nobody told where the tube ends, so that the place is assumed. */
  isAssumed: boolean;
}

/** Half of a small tube, where its ends are not told (assumed). */
const assumedEndMm = 300;

/**
 * What to add to the lighter end where the travel runs out, with the dovetail at that end of its travel; undefined where the
 * travel reaches, or where the travel leaves no arm on the lighter side. A weight farther out than any part needs the end of the tube:
 * where `endsMm` does not tell it, 300 mm are assumed, told by `isAssumed`.
 */
export function tubeCure(rig: Rig, { dovetailShortMm }: Balance): TubeCure | undefined {
  if (dovetailShortMm === 0) return undefined;
  const toSky = dovetailShortMm > 0;
  const limitMm = rig.travelMm[toSky ? 1 : 0];
  const ends = rig.endsMm ?? [-assumedEndMm, assumedEndMm];
  const places = [...rig.parts.map(({ alongMm }) => alongMm), ...ends];
  const alongMm = toSky ? Math.max(...places) : Math.min(...places);
  const arm = alongMm + limitMm;
  const missing = -(momentsOf(rig).alongKgMm + tubeMassKg(rig) * limitMm);
  const massKg = missing / arm;
  if (!(massKg > 0 && Number.isFinite(massKg))) return undefined;
  const isAssumed = rig.endsMm === undefined && Math.abs(alongMm) === assumedEndMm;
  return { massKg, alongMm, end: toSky ? 'sky' : 'eyepiece', isAssumed };
}

/** Moment that is missing at the counterweights, turned into what may be changed. */
type ShaftCure =
  | { kind: 'more'; massKg: number; atMm: number; longerMm: number }
  | { kind: 'less'; massKg: number; atMm: number }
  /** Even without weights the shaft is too heavy. */
  | { kind: 'shaft' };

/**
 * Another weight at the outer end of the shaft, or a shaft longer by so much (its own mass not counted); or how much less weight.
 * Undefined where the shaft reaches.
 */
export function shaftCure({ counterweights, shaft }: Rig, { missingKgMm }: Balance): ShaftCure | undefined {
  if (missingKgMm === 0) return undefined;
  const weightsKg = counterweights.reduce((total, { massKg }) => total + massKg, 0);
  if (missingKgMm > 0) {
    const atMm = counterweights.length > 0 ? Math.max(...counterweights.map(({ toMm }) => toMm)) : 2 * shaft.centreMm;
    return { kind: 'more', massKg: missingKgMm / atMm, atMm, longerMm: missingKgMm / weightsKg };
  }
  const atMm = counterweights.length > 0 ? Math.min(...counterweights.map(({ fromMm }) => fromMm)) : 0;
  const massKg = -missingKgMm / atMm;
  return massKg < weightsKg ? { kind: 'less', massKg, atMm } : { kind: 'shaft' };
}
