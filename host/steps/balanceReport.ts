import { balanceOf, type Balance } from '../../calibration/balance/balance.ts';
import { shaftCure, tubeCure } from '../../calibration/balance/cure.ts';
import { tubeMassKg, weightsMassKg, type Rig } from '../../calibration/balance/rig.ts';
import { cautions } from '../words/cautions.ts';
import { bandSigmas } from '../words/reading.ts';
import { rounded } from '../words/figures.ts';
import { texts } from './words/balance.ts';

export const balanceCautions = [cautions.clutch];

const mm = (value: number): string => `${Math.abs(value).toFixed(Math.abs(value) < 10 ? 1 : 0)} mm`;
const kg = (value: number): string => `${value.toFixed(value < 1 ? 2 : 1)} kg`;
const within = (sigmaMm: number): string => (sigmaMm > 0 ? `, give or take ${mm(bandSigmas * sigmaMm)}` : '');
const end = (shiftMm: number): string => (shiftMm > 0 ? 'sky' : 'eyepiece');

export interface BalanceVerdict {
  balance: Balance;
  accepted: boolean;
  /** Empty where the rig can be balanced. */
  reason: string;
  /** What would cure it, one sentence each. */
  cures: string[];
}

/** Why the dovetail cannot balance the tube, and what would. */
function dovetailTrouble(rig: Rig, balance: Balance): { reason: string; cures: string[] } | undefined {
  const { dovetailShiftMm, dovetailShortMm } = balance;
  if (dovetailShortMm === 0) return undefined;
  const limitMm = dovetailShiftMm - dovetailShortMm;
  const cure = tubeCure(rig, balance);
  return {
    reason: texts.outOfTravel(mm(dovetailShiftMm), end(dovetailShiftMm), mm(limitMm), mm(dovetailShortMm)),
    cures: [
      texts.longerDovetail(mm(dovetailShortMm), end(-dovetailShiftMm)),
      ...(cure ? [texts.orAddMass(kg(cure.massKg), cure.end, mm(cure.alongMm))] : []),
      ...(cure?.isAssumed ? [texts.endAssumed(mm(cure.alongMm))] : []),
    ],
  };
}

/** Why the counterweights cannot hold the tube, and what would. */
function shaftTrouble(rig: Rig, balance: Balance): { reason: string; cures: string[] } | undefined {
  const cure = shaftCure(rig, balance);
  if (!cure) return undefined;
  const { counterweightAtMm } = balance;
  if (cure.kind === 'shaft')
    return {
      reason: texts.shaftTooHeavy,
      cures: [texts.takeShaftOut],
    };
  if (cure.kind === 'less')
    return {
      reason: texts.weightsTooHeavy(mm(counterweightAtMm)),
      cures: [texts.useLess(kg(cure.massKg))],
    };
  if (rig.counterweights.length === 0)
    return {
      reason: texts.noCounterweight,
      cures: [texts.putOn(kg(cure.massKg), mm(cure.atMm))],
    };
  return {
    reason: texts.shaftTooShort(mm(counterweightAtMm), mm(cure.longerMm)),
    cures: [texts.addWeight(kg(cure.massKg), mm(cure.atMm)), texts.orExtend(mm(cure.longerMm))],
  };
}

/** Whether a rig can be balanced, and how. */
export function judgeBalance(rig: Rig): BalanceVerdict {
  const balance = balanceOf(rig);
  const troubles = [dovetailTrouble(rig, balance), shaftTrouble(rig, balance)].filter(
    (trouble) => trouble !== undefined,
  );
  return {
    balance,
    accepted: troubles.length === 0,
    reason: troubles.map(({ reason }) => reason).join(' '),
    cures: troubles.flatMap(({ cures }) => cures),
  };
}

function weightsWords({ counterweights }: Rig, balance: Balance): string[] {
  const { counterweightAtMm, sigmaCounterweightAtMm, counterweightPlacesMm: places } = balance;
  if (counterweights.length === 0) return [];
  const apart = Math.max(...places) - Math.min(...places) > 0.5;
  const common = `${mm(counterweightAtMm)} from the right-ascension axis${within(sigmaCounterweightAtMm)}`;
  if (counterweights.length === 1) return [texts.setCounterweight(common)];
  if (!apart) return [texts.setTogether(counterweights.length, common)];
  const each = places.map((place, i) => `${kg(counterweights[i].massKg)} at ${mm(place)}`).join(', ');
  return [texts.spread(each, common)];
}

/** A moment that no sliding takes out, newton metres: a kilogram two centimetres off (common practice: clutches hold more). */
const sideNoticeNm = 0.2;

function sideWords({ sideMomentNm }: Balance): string[] {
  if (Math.abs(sideMomentNm) < sideNoticeNm) return [];
  return [texts.sideMoment(Math.abs(sideMomentNm).toFixed(1))];
}

/** The order that works, with the places. */
export function balanceSteps(rig: Rig, { balance }: BalanceVerdict): string[] {
  const { dovetailShiftMm, sigmaDovetailShiftMm } = balance;
  const slide =
    Math.abs(dovetailShiftMm) < 0.05
      ? texts.leaveDovetail(within(sigmaDovetailShiftMm))
      : texts.slideTube(mm(dovetailShiftMm), end(dovetailShiftMm), within(sigmaDovetailShiftMm));
  return [
    texts.everythingOn,
    ...weightsWords(rig, balance),
    texts.declinationLevel,
    slide,
    texts.tubeLevel,
    ...sideWords(balance),
    texts.markPlaces,
  ];
}

/** Cautions first, then why not and what would cure it, or the order that works. */
export function balanceWords(rig: Rig, verdict: BalanceVerdict): string[] {
  const cautions = balanceCautions.map((caution) => `Caution: ${caution}`);
  if (!verdict.accepted) return [...cautions, texts.refused(verdict.reason), ...verdict.cures];
  return [
    ...cautions,
    texts.masses(rig.name, kg(tubeMassKg(rig)), kg(weightsMassKg(rig))),
    ...balanceSteps(rig, verdict),
  ];
}

/** For the log of the night, in one line. */
export const balancedWords = (rig: Rig, { balance }: BalanceVerdict): string =>
  texts.noted(
    rig.name,
    mm(balance.dovetailShiftMm),
    end(balance.dovetailShiftMm),
    rig.counterweights.length > 0,
    mm(balance.counterweightAtMm),
  );

const mmOrNull = (value: number): number | null => (Number.isFinite(value) ? rounded(value, 2) : null);

/** What would cure it, in figures: a mass and its place; < 0: to be taken off. */
function cureJson(rig: Rig, balance: Balance): Record<string, unknown> {
  const tube = tubeCure(rig, balance);
  const shaft = shaftCure(rig, balance);
  return {
    ...(tube && {
      tubeCure: {
        massKg: rounded(tube.massKg, 3),
        alongMm: rounded(tube.alongMm, 2),
        end: tube.end,
        isAssumed: tube.isAssumed,
      },
    }),
    ...(shaft?.kind === 'more' && {
      counterweightCure: {
        massKg: rounded(shaft.massKg, 3),
        atMm: rounded(shaft.atMm, 2),
        longerMm: mmOrNull(shaft.longerMm),
      },
    }),
    ...(shaft?.kind === 'less' && {
      counterweightCure: { massKg: rounded(-shaft.massKg, 3), atMm: rounded(shaft.atMm, 2) },
    }),
  };
}

export function balanceJson(rig: Rig, { balance, accepted, reason, cures }: BalanceVerdict): Record<string, unknown> {
  return {
    kind: 'balance',
    accepted,
    reason,
    name: rig.name,
    dovetailShiftMm: mmOrNull(balance.dovetailShiftMm),
    sigmaDovetailShiftMm: mmOrNull(balance.sigmaDovetailShiftMm),
    dovetailShortMm: mmOrNull(balance.dovetailShortMm),
    counterweightAtMm: mmOrNull(balance.counterweightAtMm),
    sigmaCounterweightAtMm: mmOrNull(balance.sigmaCounterweightAtMm),
    counterweightPlacesMm: balance.counterweightPlacesMm.map(mmOrNull),
    declinationMomentBeforeNm: rounded(balance.declinationMomentBeforeNm, 4),
    declinationMomentAfterNm: rounded(balance.declinationMomentAfterNm, 4),
    rightAscensionMomentBeforeNm: rounded(balance.rightAscensionMomentBeforeNm, 4),
    rightAscensionMomentAfterNm: rounded(balance.rightAscensionMomentAfterNm, 4),
    sideMomentNm: rounded(balance.sideMomentNm, 4),
    cures,
    ...cureJson(rig, balance),
  };
}
