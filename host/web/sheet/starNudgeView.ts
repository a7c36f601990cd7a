import { arcminute } from '../../../calibration/angle.ts';
import type { SeenShift } from '../../../calibration/nudge/habit.ts';
import type { FieldPlace } from '../../../calibration/nudge/starAfter.ts';
import { isNudgeAdvised, type NudgePlan } from '../../steps/starNudge.ts';
import { clockWords, nudgeCautions, placeWords } from '../../steps/starNudgeWords.ts';
import { rounded } from '../../words/figures.ts';
import type { Drawing, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { gateWords, sided } from './giveOrTake.ts';

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
    ...blankView('starNudge', 'Nudge on a star'),
    cautions: [...nudgeCautions],
    fields: isCentred ? readFields : setFields(state),
    measured: read ? shiftRows(read) : [],
    status: read ? 'done' : 'to do',
    figure: read ? 'kept' : '',
    howSure: "Read to a twentieth of the field's radius, a star tells a nudge three times better than the compass.",
    next: read ? 'Lock the bolts while you watch the star, then watch a drift to prove it.' : '',
  };
  if (!plan) return { ...blank, toDo: [busy || why], actions: [] };
  const stops = plan.gates.filter(({ verdict }) => verdict === 'stop');
  if (stops.length > 0 && !isCentred)
    return { ...blank, toDo: stops.map(gateWords), actions: [{ name: 'show', label: 'Show' }] };
  const expected = `Expected distance from the pole: ${arcmin(plan.expectedBeforeRad)} now, ${arcmin(plan.expectedAfterRad)} after this nudge.`;
  if (!isCentred && !isNudgeAdvised(plan))
    return {
      ...blank,
      toDo: [`Leave the bolts: a nudge on ${plan.star.name} brings the axis no nearer to the pole.`, expected],
      actions: [{ name: 'show', label: 'Show' }],
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
    `Turn the altitude bolt until ${plan.star.name} stands ${placeWords(afterAltitude, fieldRad, { mirrored })}.`,
    `Then turn the azimuth bolts until it stands ${placeWords(home, fieldRad, { mirrored })}.`,
  ];
  const more =
    plan.steps.length > 1 ? [`This is the first of ${plan.steps.length} steps: the field is too small for one.`] : [];
  return isCentred
    ? [...turns, ...more, clockWords(mirrored)]
    : [
        `Centre ${plan.star.name}, the drive running, then press "It is centred".`,
        clockWords(mirrored),
        ...turns,
        ...more,
      ];
}

const setFields = ({ typed, plan }: StarNudgeState): StepView['fields'] => [
  { name: 'star', label: 'Star', value: typed.star ?? '', hint: plan?.star.name ?? 'Vega' },
  { name: 'field', label: 'True field, arcminutes', value: typed.field ?? '40', hint: '40' },
  {
    name: 'picture',
    label: 'Picture',
    value: typed.picture ?? 'straight',
    hint: 'straight, or mirrored by a diagonal',
  },
];

const readFields: StepView['fields'] = [
  { name: 'north', label: 'It stands north, arcminutes', value: '', hint: '-6.5; empty: where it must' },
  { name: 'east', label: 'and east', value: '', hint: '10; empty: where it must' },
];

function actionsOf({ isCentred, busy, hasHands }: StarNudgeState): StepView['actions'] {
  const cancel = { name: 'cancel', label: 'Give up' };
  if (busy) return isCentred ? [cancel] : [];
  const hands = hasHands
    ? [
        ...(isCentred ? [] : [{ name: 'hands-centre', label: 'Hands centre the star', byHands: true }]),
        { name: 'hands', label: 'Hands nudge on the star', byHands: true },
      ]
    : [];
  return isCentred
    ? [{ name: 'read', label: 'It stands there', isMain: true }, cancel, ...hands]
    : [{ name: 'centred', label: 'It is centred', isMain: true }, { name: 'show', label: 'Show' }, ...hands];
}

function drawingOf({ fieldRad, mirrored, seen }: StarNudgeState, plan: NudgePlan): Drawing {
  const [{ afterAltitude, home }] = plan.steps;
  const at = ({ northRad, eastRad }: FieldPlace) => ({
    north: rounded(northRad / arcminute, 2),
    east: rounded(eastRad / arcminute, 2),
  });
  const sigma = rounded(plan.eye.sigmaReadRad / arcminute, 2);
  return {
    kind: 'field',
    radius: rounded(fieldRad / 2 / arcminute, 2),
    mirrored,
    places: [
      { label: '1 altitude', ...at(afterAltitude), sigma },
      { label: '2 home', ...at(home), sigma },
    ],
    ...(seen && { star: at(seen) }),
  };
}

const shiftRows = ({ altitudeShiftRad, azimuthShiftRad, covariance }: SeenShift): StepView['measured'] => [
  { label: 'Azimuth moved', value: sided('azimuth', azimuthShiftRad, Math.sqrt(covariance[3])) },
  { label: 'Altitude moved', value: sided('altitude', altitudeShiftRad, Math.sqrt(covariance[0])) },
];
