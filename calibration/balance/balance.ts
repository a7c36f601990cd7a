import { placesOf } from './places.ts';
import { inNm, loadKgMm, momentsOf, tubeMassKg, weightsMassKg, type Rig } from './rig.ts';

export interface Balance {
  /** Toward the sky end, so that the tube hangs level; also where the travel does not reach so far. */
  dovetailShiftMm: number;
  sigmaDovetailShiftMm: number;
  /** By how much the travel is too short; < 0: toward the eyepiece end, 0: it reaches. */
  dovetailShortMm: number;
  /** Distance of the weights' common centre of mass from the right-ascension axis; also where the shaft does not reach so far. NaN without weights. */
  counterweightAtMm: number;
  sigmaCounterweightAtMm: number;
  /** Of each weight, as far as its range reaches. */
  counterweightPlacesMm: readonly number[];
  /** Moment that no place of the weights takes up; > 0: the shaft is too short or the weights too light, < 0: they are too heavy. */
  missingKgMm: number;
  /** Level tube, > 0: the sky end is heavy. */
  declinationMomentBeforeNm: number;
  declinationMomentAfterNm: number;
  /** Level declination axis, > 0: the tube's side is heavy. Before: with the weights whose place is known. */
  rightAscensionMomentBeforeNm: number;
  rightAscensionMomentAfterNm: number;
  /** Upright tube, about the declination axis: what no sliding takes out. */
  sideMomentNm: number;
}

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

/** Moments within this are taken as none: a thousandth of a gram at a metre. */
const leastKgMm = 1e-3;

/**
 * Statics of a rig on an equatorial mount. First the tube is slid until its centre of mass lies on the declination axis,
 * -sum(m along)/sum(m); then the weights hold all of it about the right-ascension axis, (sum(m out) - shaft)/sum(weights).
 * Standard deviations follow from those of the masses, first order.
 */
export function balanceOf(rig: Rig): Balance {
  const { parts, counterweights, shaft, travelMm } = rig;
  const tubeKg = tubeMassKg(rig);
  const { alongKgMm, outKgMm, sideKgMm } = momentsOf(rig);
  const dovetailShiftMm = -alongKgMm / tubeKg;
  const reachedMm = Math.min(travelMm[1], Math.max(travelMm[0], dovetailShiftMm));
  const load = loadKgMm(rig);
  const weightsKg = weightsMassKg(rig);
  const counterweightAtMm = load / weightsKg;
  const { placesMm, missingKgMm } =
    counterweights.length > 0 ? placesOf(counterweights, load) : { placesMm: [], missingKgMm: load };
  const held = (placeMm: readonly (number | undefined)[]): number =>
    sum(counterweights.map(({ massKg }, i) => massKg * (placeMm[i] ?? 0)));
  return {
    dovetailShiftMm: dovetailShiftMm === 0 ? 0 : dovetailShiftMm,
    sigmaDovetailShiftMm: Math.hypot(
      ...parts.map(({ alongMm, sigmaKg = 0 }) => ((alongMm + dovetailShiftMm) / tubeKg) * sigmaKg),
    ),
    dovetailShortMm: dovetailShiftMm - reachedMm,
    counterweightAtMm: counterweights.length > 0 ? counterweightAtMm : NaN,
    sigmaCounterweightAtMm:
      counterweights.length > 0
        ? Math.hypot(
            ...parts.map(({ outMm, sigmaKg = 0 }) => (outMm / weightsKg) * sigmaKg),
            ...counterweights.map(({ sigmaKg = 0 }) => (counterweightAtMm / weightsKg) * sigmaKg),
            (shaft.centreMm / weightsKg) * (shaft.sigmaKg ?? 0),
          )
        : NaN,
    counterweightPlacesMm: placesMm,
    missingKgMm: Math.abs(missingKgMm) < leastKgMm ? 0 : missingKgMm,
    declinationMomentBeforeNm: inNm(alongKgMm),
    declinationMomentAfterNm: inNm(alongKgMm + tubeKg * reachedMm),
    rightAscensionMomentBeforeNm: inNm(
      outKgMm - shaft.massKg * shaft.centreMm - held(counterweights.map(({ atMm }) => atMm)),
    ),
    rightAscensionMomentAfterNm: inNm(load - held(placesMm)),
    sideMomentNm: inNm(sideKgMm),
  };
}

/** A mass, and one standard deviation of it. */
export interface WeighedMass {
  massKg: number;
  sigmaKg: number;
}

/** A place read off a rule or a mark, one standard deviation (common practice: half a millimetre to a millimetre). */
const readingSigmaMm = 1;

/**
 * Mass of one part out of two settings at which the declination axis hangs level: the weights' common place without it and with
 * it. Its moment is what the weights had to be moved for, m out = W (with - without).
 */
export function massByCounterweight(weightsKg: number, withoutMm: number, withMm: number, outMm: number): WeighedMass {
  return {
    massKg: (weightsKg * (withMm - withoutMm)) / outMm,
    sigmaKg: (weightsKg * Math.SQRT2 * readingSigmaMm) / Math.abs(outMm),
  };
}

/**
 * Mass of one part out of two settings at which the tube hangs level: the dovetail's shift without it and with it on, the rest of
 * the tube `restKg`: restKg (with - without) + m (along + with) = 0.
 * @param alongMm place of the part while the dovetail stands at 0
 */
export function massByDovetail(restKg: number, withoutMm: number, withMm: number, alongMm: number): WeighedMass {
  const arm = alongMm + withMm;
  const massKg = (restKg * (withoutMm - withMm)) / arm;
  return { massKg, sigmaKg: Math.hypot(restKg, restKg + massKg) * (readingSigmaMm / Math.abs(arm)) };
}
