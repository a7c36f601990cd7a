import { balanceOf, type Balance } from '../../calibration/balance/balance.ts';
import { shaftCure, tubeCure } from '../../calibration/balance/cure.ts';
import { tubeMassKg, weightsMassKg, type Rig } from '../../calibration/balance/rig.ts';
import { cautions } from '../words/cautions.ts';
import { bandSigmas } from '../words/reading.ts';
import { rounded } from '../words/figures.ts';

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
    reason:
      `The dovetail runs out of travel: the tube must slide ${mm(dovetailShiftMm)} toward the ${end(dovetailShiftMm)} end, ` +
      `and only ${mm(limitMm)} are left. It is ${mm(dovetailShortMm)} short.`,
    cures: [
      `Use a dovetail ${mm(dovetailShortMm)} longer toward the ${end(-dovetailShiftMm)} end.`,
      ...(cure
        ? [
            `Or add ${kg(cure.massKg)} at the ${cure.end} end, ${mm(cure.alongMm)} from the declination axis, and slide the tube to that end of its travel. Then ask again with this mass in the rig.`,
            ...(cure.isAssumed
              ? [
                  `That end of the tube is not in the rig, so ${mm(cure.alongMm)} is assumed; nearer in, more is needed.`,
                ]
              : []),
          ]
        : []),
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
      reason: 'The counterweight side is too heavy even with the weights off: the shaft alone outweighs the tube.',
      cures: ['Take the shaft out or use a lighter one, or check outMm of the parts.'],
    };
  if (cure.kind === 'less')
    return {
      reason:
        `The counterweights are too heavy: they would have to stand ${mm(counterweightAtMm)} from the axis, ` +
        `nearer than they can.`,
      cures: [`Use ${kg(cure.massKg)} less, or leave one weight off.`],
    };
  if (rig.counterweights.length === 0)
    return {
      reason: 'There is no counterweight.',
      cures: [`Put on ${kg(cure.massKg)} at ${mm(cure.atMm)}, or more nearer in.`],
    };
  return {
    reason:
      `The shaft is too short: the weights would have to stand ${mm(counterweightAtMm)} from the axis, ` +
      `${mm(cure.longerMm)} farther out than they can.`,
    cures: [
      `Add a counterweight of ${kg(cure.massKg)} at ${mm(cure.atMm)}, or a heavier one nearer in.`,
      `Or use a shaft extension of at least ${mm(cure.longerMm)}.`,
    ],
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
  if (counterweights.length === 1) return [`Set the middle of the counterweight ${common}.`];
  if (!apart) return [`Set all ${counterweights.length} counterweights together, their common middle ${common}.`];
  const each = places.map((place, i) => `${kg(counterweights[i].massKg)} at ${mm(place)}`).join(', ');
  return [`Spread the counterweights: ${each}. Their common centre of mass stands ${common}.`];
}

/** A moment that no sliding takes out, newton metres: a kilogram two centimetres off (common practice: clutches hold more). */
const sideNoticeNm = 0.2;

function sideWords({ sideMomentNm }: Balance): string[] {
  if (Math.abs(sideMomentNm) < sideNoticeNm) return [];
  return [
    `The parts at the side turn the upright tube by ${Math.abs(sideMomentNm).toFixed(1)} Nm. No sliding takes this out: ` +
      `put a mass of the same moment on the opposite side, or move a part there.`,
  ];
}

/** The order that works, with the places. */
export function balanceSteps(rig: Rig, { balance }: BalanceVerdict): string[] {
  const { dovetailShiftMm, sigmaDovetailShiftMm } = balance;
  const slide =
    Math.abs(dovetailShiftMm) < 0.05
      ? `Leave the dovetail where it is${within(sigmaDovetailShiftMm)}.`
      : `Slide the tube ${mm(dovetailShiftMm)} toward the ${end(dovetailShiftMm)} end${within(sigmaDovetailShiftMm)}.`;
  return [
    'Put on everything first: eyepiece or camera, finder, cables, and take the caps off.',
    ...weightsWords(rig, balance),
    'Lay the declination axis level, release the right-ascension clutch with a hand on the tube, and correct until it stays.',
    slide,
    'Lay the tube level, release the declination clutch with a hand on the tube, and correct until it stays.',
    ...sideWords(balance),
    'Mark both places with tape.',
  ];
}

/** Cautions first, then why not and what would cure it, or the order that works. */
export function balanceWords(rig: Rig, verdict: BalanceVerdict): string[] {
  const cautions = balanceCautions.map((caution) => `Caution: ${caution}`);
  if (!verdict.accepted) return [...cautions, `REFUSED: ${verdict.reason}`, ...verdict.cures];
  return [
    ...cautions,
    `${rig.name}: ${kg(tubeMassKg(rig))} on the tube's side, ${kg(weightsMassKg(rig))} of counterweights.`,
    ...balanceSteps(rig, verdict),
  ];
}

/** For the log of the night, in one line. */
export const balancedWords = (rig: Rig, { balance }: BalanceVerdict): string =>
  `Balance of ${rig.name}: dovetail ${mm(balance.dovetailShiftMm)} toward the ${end(balance.dovetailShiftMm)} end` +
  `${rig.counterweights.length > 0 ? `, counterweights ${mm(balance.counterweightAtMm)} from the axis` : ''}.`;

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
