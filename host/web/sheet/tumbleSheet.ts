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
import { texts } from './words/tumble.ts';

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
    const blank = blankView(this.name, texts.title);
    const progress = this.step?.progress();
    if (progress) {
      const { coverage, samples, shaken, elapsedS, ready, words, upNow, upNext } = progress;
      return {
        ...blank,
        status: 'under way',
        figure: texts.covered(coverage.percent.toFixed(0)),
        toDo: [words],
        measured: [
          ...sidesOf(coverage),
          { label: texts.readingsLabel, value: texts.readingsIn(samples, elapsedS.toFixed(0)) },
          { label: texts.rejectedLabel, value: `${shaken}` },
        ],
        howSure: texts.whatTilesMean,
        next: ready ? texts.finish : '',
        actions: [finishAction, cancelAction],
        drawing: sphereOf(coverage, upNow, upNext),
      };
    }
    const actions = this.beginnings(this.result ? texts.againButton : texts.startButton, texts.handsButton);
    if (this.result) return { ...blank, ...resultView(this.result), actions };
    const { session } = this.night;
    const boardId = session.hello()?.boardId;
    return {
      ...blank,
      figure: session.virtual !== undefined ? 'rehearsed' : '',
      toDo: [
        ...rehearsedWords(session),
        texts.takeInHand,
        texts.halfAMinute,
        ...(boardId === undefined ? [] : [texts.forThisBoard(boardId)]),
      ],
      howSure: texts.what,
      next: texts.nextStep,
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
    await this.use(outcome, texts.tumbledNow);
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
    await this.use(this.made.finish(), texts.tumbledRecalculated);
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
    if (session.virtual) await carried.log.noteStep('tumble', texts.noted);
  }
}

/** Both sensors need every side; the tiles show the first of the two. */
function sidesOf({ cells }: Coverage): StepView['measured'] {
  const of = (count: number): string => texts.sides(count, cells.length);
  return [
    { label: texts.pointedUp, value: of(cells.filter(({ accelReached }) => accelReached).length) },
    { label: texts.facedField, value: of(cells.filter(({ fieldReached }) => fieldReached).length) },
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
    figure: result.accepted && c ? texts.heading(((2 * c.sigmaHeadingRad) / degree).toFixed(2)) : 'refused',
    toDo: [gate ? gateWords(gate) : texts.calibrated, ...(result.accepted ? [] : [texts.unchanged])],
    measured: c
      ? [
          { label: texts.evenLabel, value: texts.even(c.fieldResidualPercent.toFixed(2)) },
          { label: texts.dipLabel, value: `${(c.dipRad / degree).toFixed(2)}°` },
          ...sidesOf(result.coverage),
          { label: texts.readingsLabel, value: texts.usedRejected(result.samplesUsed, result.samplesRejected) },
        ]
      : [],
    howSure:
      result.accepted && c
        ? texts.howSure(((2 * c.sigmaHeadingRad) / degree).toFixed(2), ((2 * c.sigmaTiltRad) / degree).toFixed(3))
        : '',
    next: result.accepted ? texts.thenSwing : texts.tumbleAgain,
    drawing: sphereOf(result.coverage),
  };
}
