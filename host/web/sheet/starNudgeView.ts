import { arcminute } from '../../../calibration/angle.ts';
import type { SeenShift } from '../../../calibration/nudge/habit.ts';
import type { FieldPlace } from '../../../calibration/nudge/starAfter.ts';
import { isNudgeAdvised, type NudgePlan } from '../../steps/starNudge.ts';
import { clockWords, nudgeCautions, placeWords } from '../../steps/starNudgeWords.ts';
import type { Drawing, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { fieldDrawing } from './fieldDrawing.ts';
import { cancelAction } from './gatheringSheet.ts';
import { gateWords, sided } from './giveOrTake.ts';
import { texts } from './words/starNudge.ts';

export interface StarNudgeState {
  plan?: NudgePlan;
  /** Why there is no plan. */
  why: string;
  isCentred: boolean;
  read?: SeenShift;
  busy: string;
  typed: Record<string, string>;
  fieldRad: number;
  mirrored: boolean;
  hasHands: boolean;
  /** In the virtual eyepiece. */
  seen?: FieldPlace;
}

export function starNudgeView(state: StarNudgeState): StepView {
  const { plan, why, isCentred, busy, read } = state;
  const blank: StepView = {
    ...blankView('starNudge', texts.title),
    cautions: [...nudgeCautions],
    fields: isCentred ? readFields(texts.northHint, texts.eastHint) : setFields(state),
    measured: read ? shiftRows(read) : [],
    status: read ? 'done' : 'to do',
    figure: read ? 'kept' : '',
    howSure: texts.howFine,
    next: read ? texts.thenLock : '',
  };
  if (!plan) return { ...blank, toDo: [busy || why], actions: [] };
  const stops = plan.gates.filter(({ verdict }) => verdict === 'stop');
  if (stops.length > 0 && !isCentred)
    return { ...blank, toDo: stops.map(gateWords), actions: [{ name: 'show', label: texts.showButton }] };
  const expected = texts.expected(arcmin(plan.expectedBeforeRad), arcmin(plan.expectedAfterRad));
  if (!isCentred && !isNudgeAdvised(plan))
    return {
      ...blank,
      toDo: [texts.leaveBolts(plan.star.name), expected],
      actions: [{ name: 'show', label: texts.showButton }],
    };
  return {
    ...blank,
    status: isCentred ? 'under way' : blank.status,
    figure: isCentred ? plan.star.name : blank.figure,
    toDo: busy ? [busy, ...wayWords(state, plan)] : [...wayWords(state, plan), expected],
    drawing: drawingOf(state, plan),
    actions: actionsOf(state),
  };
}

const arcmin = (rad: number): string => `${(rad / arcminute).toFixed(1)}′`;

function wayWords({ fieldRad, mirrored, isCentred }: StarNudgeState, plan: NudgePlan): string[] {
  const [{ afterAltitude, home }] = plan.steps;
  const turns = [
    texts.turnAltitude(plan.star.name, placeWords(afterAltitude, fieldRad, { mirrored })),
    texts.thenTurnAzimuth(placeWords(home, fieldRad, { mirrored })),
  ];
  const more = plan.steps.length > 1 ? [texts.firstOfSteps(plan.steps.length)] : [];
  return isCentred
    ? [...turns, ...more, clockWords(mirrored)]
    : [texts.centre(plan.star.name), clockWords(mirrored), ...turns, ...more];
}

export const setFields = ({ typed, plan }: Pick<StarNudgeState, 'typed' | 'plan'>): StepView['fields'] => [
  { name: 'star', label: texts.starLabel, value: typed.star ?? '', hint: plan?.star.name ?? texts.starHint },
  { name: 'field', label: texts.fieldLabel, value: typed.field ?? '40', hint: '40' },
  {
    name: 'picture',
    label: texts.pictureLabel,
    value: typed.picture ?? 'straight',
    hint: texts.pictureHint,
  },
];

/** Where the star stands, with an example of each. */
export const readFields = (north: string, east: string): StepView['fields'] => [
  { name: 'north', label: texts.northLabel, value: '', hint: north, number: 'signed' },
  { name: 'east', label: texts.eastLabel, value: '', hint: east, number: 'signed' },
];

function actionsOf({ isCentred, busy, hasHands }: StarNudgeState): StepView['actions'] {
  if (busy) return isCentred ? [cancelAction] : [];
  const hands = hasHands
    ? [
        { name: 'hands', label: texts.handsNudgeButton, byHands: true },
        ...(isCentred ? [] : [{ name: 'hands-centre', label: texts.handsCentreButton, byHands: true }]),
      ]
    : [];
  return isCentred
    ? [{ name: 'read', label: texts.thereButton, isMain: true }, cancelAction, ...hands]
    : [
        { name: 'centred', label: texts.centredButton, isMain: hasHands ? undefined : true },
        { name: 'show', label: texts.showButton },
        ...hands,
      ];
}

function drawingOf({ fieldRad, mirrored, seen }: StarNudgeState, { steps, eye }: NudgePlan): Drawing {
  const [{ afterAltitude, home }] = steps;
  const places = [
    { label: texts.altitudePlace, at: afterAltitude },
    { label: texts.homePlace, at: home },
  ];
  return fieldDrawing({ ...eye, fieldRad }, mirrored, places, seen);
}

const shiftRows = ({ altitudeShiftRad, azimuthShiftRad, covariance }: SeenShift): StepView['measured'] => [
  { label: texts.azimuthMoved, value: sided('azimuth', azimuthShiftRad, Math.sqrt(covariance[3])) },
  { label: texts.altitudeMoved, value: sided('altitude', altitudeShiftRad, Math.sqrt(covariance[0])) },
];
