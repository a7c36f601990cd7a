import { degree } from '../../../calibration/angle.ts';
import { decisive } from '../../../calibration/gate.ts';
import { clipOnlyModel } from '../../../calibration/live/uncalibrated.ts';
import type { Coverage, TumbleOptions, TumbleResult } from '../../../calibration/tumble/types.ts';
import type { Vector3 } from '../../../calibration/vector.ts';
import { saveCalibration } from '../../store/profile.ts';
import { tumbleOptions } from '../../steps/tumbleOptions.ts';
import { TumbleStep, type TumbleOutcome } from '../../steps/tumbleStep.ts';
import type { Drawing, StepView } from '../messages.ts';
import { blankView, rehearsedWords } from './blankView.ts';
import { gateWords } from './giveOrTake.ts';
import { cancelAction, finishAction, GatheringSheet } from './gatheringSheet.ts';
import type { Night } from './nightAtPage.ts';

/** Time to take the board off the mount, whose iron must not count. */
const takingUpS = 3;

/** The tumble in the hand: which directions are covered, and what the calibration came to. */
export class TumbleSheet extends GatheringSheet<TumbleStep> {
  readonly name = 'tumble';
  protected override readonly skippedS = takingUpS;
  protected override readonly takesBoard = true;
  private made: TumbleStep | undefined;
  private result: TumbleResult | undefined;

  constructor(night: Night) {
    super(night);
    night.onMoved(() => this.judgeAnew());
  }

  view(): StepView {
    const blank = blankView(this.name, 'Tumble');
    const progress = this.step?.progress();
    if (progress) {
      const { coverage, samples, shaken, elapsedS, ready, words, upNow, upNext } = progress;
      return {
        ...blank,
        status: 'under way',
        figure: `${coverage.percent.toFixed(0)} percent`,
        toDo: [words],
        measured: [
          ...sidesOf(coverage),
          { label: 'Readings', value: `${samples} in ${elapsedS.toFixed(0)} s` },
          { label: 'Rejected as shaken', value: `${shaken}` },
        ],
        howSure: 'Each tile stands for the side that was up: filled tiles are covered, empty ones are missing.',
        next: ready ? 'Finish.' : '',
        actions: [finishAction, cancelAction],
        drawing: sphereOf(coverage, upNow, upNext),
      };
    }
    const actions = this.beginnings(this.result ? 'Tumble again' : 'Start', 'Hands tumble the board');
    if (this.result) return { ...blank, ...resultView(this.result), actions };
    const { session } = this.night;
    const boardId = session.hello()?.boardId;
    return {
      ...blank,
      figure: session.virtual !== undefined ? 'rehearsed' : '',
      toDo: [
        ...rehearsedWords(session),
        'Take the board in your hand, a few paces from mount, car, tools and phone. Turn it slowly every way.',
        'Half a minute is enough. If this board has a saved calibration, you can go straight to the swing.',
        ...(boardId === undefined ? [] : [`This is board ${boardId}: the calibration is saved for this board only.`]),
      ],
      howSure: 'The tumble calibrates accelerometer and magnetometer together.',
      next: 'Level the base, or go on to the swing.',
      actions,
    };
  }

  protected begin(): TumbleStep {
    return new TumbleStep(this.options());
  }

  protected async byHands(): Promise<void> {
    const { hands } = this.night;
    hands.tumble();
    await hands.whenDone();
    await this.finish();
    hands.clip();
  }

  protected async conclude(outcome: TumbleOutcome, step: TumbleStep): Promise<void> {
    this.made = step;
    await this.use(outcome, 'Tumbled just now; the swing is still to do.');
  }

  private options(): TumbleOptions {
    const { session } = this.night;
    return tumbleOptions(session.site, session.hello());
  }

  /** The dip of another site makes another calibration of the same readings. */
  private async judgeAnew(): Promise<void> {
    this.step?.judgeBy(this.options());
    if (!this.made) return;
    this.made.judgeBy(this.options());
    await this.use(this.made.finish(), 'Tumbled tonight, recalculated for this site; the swing is still to do.');
  }

  /** A refused tumble leaves everything as it was. */
  private async use({ result, temperatureC }: TumbleOutcome, note: string): Promise<void> {
    this.result = result;
    if (!result.accepted || !result.calibration) return;
    this.night.calibration = result.calibration;
    this.night.session.useAxisModel(clipOnlyModel(result.calibration), note);
    await saveCalibration(this.night.hello, result.calibration, temperatureC);
    const { carried, session } = this.night;
    // of a real board it is known by what was kept
    if (session.virtual) await carried.log.noteStep('tumble', 'The board was tumbled.');
  }
}

/** Both sensors need every side; the tiles show the first of the two. */
function sidesOf({ cells }: Coverage): StepView['measured'] {
  const of = (count: number): string => `${count} of ${cells.length}`;
  return [
    { label: 'Sides that pointed up', value: of(cells.filter(({ accelReached }) => accelReached).length) },
    { label: 'Sides that faced the field', value: of(cells.filter(({ fieldReached }) => fieldReached).length) },
  ];
}

const short = ([x, y, z]: Vector3): [number, number, number] => [
  Number(x.toFixed(2)),
  Number(y.toFixed(2)),
  Number(z.toFixed(2)),
];

const sphereOf = ({ cells }: Coverage, upNow?: Vector3, upNext?: Vector3): Drawing => ({
  kind: 'sphere',
  cells: cells.map(({ direction, accelReached }) => ({ direction: short(direction), isCovered: accelReached })),
  ...(upNow && { upNow: short(upNow) }),
  ...(upNext && { upNext: short(upNext) }),
});

function resultView(result: TumbleResult): Partial<StepView> {
  const gate = decisive(result.gates);
  const { calibration: c } = result;
  return {
    status: result.accepted ? 'done' : 'refused',
    figure: result.accepted && c ? `heading ${((2 * c.sigmaHeadingRad) / degree).toFixed(2)}°` : 'refused',
    toDo: [
      gate ? gateWords(gate) : 'The board is calibrated.',
      ...(result.accepted ? [] : ['Your earlier calibration is unchanged.']),
    ],
    measured: c
      ? [
          { label: 'Field after correction', value: `even to ${c.fieldResidualPercent.toFixed(2)} percent` },
          { label: 'Dip', value: `${(c.dipRad / degree).toFixed(2)}°` },
          ...sidesOf(result.coverage),
          { label: 'Readings', value: `${result.samplesUsed} used, ${result.samplesRejected} rejected` },
        ]
      : [],
    howSure:
      result.accepted && c
        ? `Heading uncertain by ${((2 * c.sigmaHeadingRad) / degree).toFixed(2)}°, tilt by ${((2 * c.sigmaTiltRad) / degree).toFixed(3)}°, 19 times in 20, before the magnetic model's own uncertainty.`
        : '',
    next: result.accepted ? 'Clip the board to the turning part and swing the axis.' : 'Tumble again.',
    drawing: sphereOf(result.coverage),
  };
}
