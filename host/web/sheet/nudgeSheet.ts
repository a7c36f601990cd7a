import { arcminute, degree } from '../../../calibration/angle.ts';
import { nudge } from '../../../firmware-proto/virtual/handsPractice.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { Needles } from '../../live/session.ts';
import { boltTurn, CountedTurns, playWords, type Bolts } from '../../live/boltTurns.ts';
import { instructionWords, isWithinWhatIsKnown } from '../../words/instruction.ts';
import { azimuthUntrusted, slowIronWords } from '../../words/iron.ts';
import { errorOf, type Axis } from '../../words/reading.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { cautions } from '../../words/cautions.ts';
import { blankView } from './blankView.ts';
import { sided, sized } from './giveOrTake.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';
import { texts } from './words/nudge.ts';

const handsToleranceRad = 2 * arcminute;
const mostNudges = 30;

/** The bolts are turned by the needles; one counted turn teaches how far a turn goes. */
export class NudgeSheet implements SheetStep {
  readonly name = 'nudge';
  private readonly night: Night;
  private readonly turns = new CountedTurns();
  private before: { needles: Needles; bolts: Bolts } | undefined;
  private busy = '';

  constructor(night: Night) {
    this.night = night;
    night.onMoved(() => {
      this.before = undefined;
      this.turns.forget();
    });
  }

  view(): StepView {
    const { session, knobs } = this.night;
    const needles = session.latest();
    const blank = blankView(this.name, texts.title);
    if (!needles || needles.state === 'stale') return { ...blank, toDo: [texts.waitForNeedles] };
    if (needles.isOffClip) return { ...blank, toDo: [texts.clipOnFirst] };
    const { shown } = needles;
    const isDisturbed = needles.state === 'disturbed';
    const axes = (['azimuth', 'altitude'] as const).map((axis) => ({
      axis,
      errorRad: errorOf(axis, shown),
      sigmaRad: axis === 'altitude' ? shown.sigmaAltitudeErrorRad : shown.sigmaAzimuthErrorRad,
      knob: knobs[axis],
    }));
    const isDone =
      !isDisturbed && axes.every(({ errorRad, sigmaRad }) => isWithinWhatIsKnown(errorRad / degree, sigmaRad / degree));
    const isTurning = this.busy !== '' || this.before !== undefined || this.night.carried.isNudging;
    return {
      ...blank,
      status: isTurning ? 'under way' : isDone ? 'done' : 'to do',
      figure: isDone ? texts.asClose : '',
      toDo: [
        this.busy ||
          (isDone
            ? texts.stopHere
            : axes
                .map(({ axis, errorRad, sigmaRad, knob }) =>
                  isDisturbed && axis === 'azimuth'
                    ? azimuthUntrusted
                    : instructionWords(axis, errorRad / degree, sigmaRad / degree, boltTurn(knob)),
                )
                .join(' ')),
        this.before ? texts.countTurns : axes.every(({ knob }) => knob) ? texts.turnMeasured : texts.howToCount,
      ],
      measured: axes.flatMap(({ axis, knob }) =>
        knob
          ? [
              { label: texts.oneTurn(axis), value: sized(knob.radPerTurn, knob.sigmaRadPerTurn) },
              { label: texts.backlash(axis), value: playWords(knob) },
            ]
          : [],
      ),
      howSure: axes
        .map(({ axis, errorRad, sigmaRad }) => texts.reads(axis === 'azimuth', sided(axis, errorRad, sigmaRad)))
        .join(' '),
      next: isDone ? texts.thenStars : '',
      cautions: [cautions.fingers, slowIronWords],
      fields: this.before
        ? [{ name: 'turns', label: texts.turnsLabel, value: '1', hint: texts.turnsHint, number: 'plain' }]
        : [],
      actions: this.busy ? [] : this.actions(),
    };
  }

  private actions(): StepView['actions'] {
    const { session } = this.night;
    return [
      ...(this.night.carried.isNudging
        ? [{ name: 'end', label: texts.boltsRestButton, isMain: true }]
        : this.night.carried.isCarrying
          ? [{ name: 'begin', label: texts.turningButton, isMain: true }]
          : []),
      ...(this.before
        ? (['altitude', 'azimuth'] as const).map((axis) => ({ name: `turned-${axis}`, label: texts.wasButton(axis) }))
        : [{ name: 'count', label: texts.countButton }]),
      ...(session.virtual?.hands
        ? [
            { name: 'hands-nudge', label: texts.handsButton, byHands: true },
            { name: 'hands-count', label: texts.demoButton, byHands: true },
          ]
        : []),
    ];
  }

  async act({ action, fields }: StepRequest): Promise<void> {
    if (this.busy) throw new Failure(exitCode.usage, this.busy, 'Wait until that is done.');
    const { carried } = this.night;
    if (action === 'begin') carried.nudgeBegins();
    else if (action === 'end') await carried.nudgeEnds(await this.night.atRest());
    else if (action === 'count') await this.begin();
    else if (action === 'hands-count')
      await this.whileBusy(texts.handsCount, () => this.night.nudging(() => this.handsCount()));
    else if (action === 'hands-nudge')
      await this.whileBusy(texts.handsNudge, () => this.night.nudging(() => this.handsNudge()));
    else await this.learn(action === 'turned-altitude' ? 'altitude' : 'azimuth', Number(fields.turns));
  }

  private async begin(): Promise<void> {
    const { altitude, azimuth } = this.night.knobs;
    this.before = { needles: await this.night.atRest(), bolts: { altitude, azimuth } };
  }

  private async learn(axis: Axis, turns: number): Promise<void> {
    const before = this.before;
    if (!before || !Number.isFinite(turns) || turns === 0 || Math.abs(turns) > 20)
      throw new Failure(exitCode.usage, 'That is not a number of turns.', 'Type 1 or 0.5; the needle shows which way.');
    const after = await this.night.atRest();
    const knob = this.turns.add(axis, turns, before.needles, after, before.bolts);
    this.before = undefined;
    this.night.knobs[axis] = knob;
  }

  private async handsCount(): Promise<void> {
    const { hands } = this.night;
    for (const axis of ['azimuth', 'altitude'] as const) {
      for (const turns of [1, -1]) {
        await this.begin();
        hands.turnBolt(axis, turns);
        await hands.whenDone();
        await this.learn(axis, turns);
      }
    }
  }

  private async handsNudge(): Promise<void> {
    const { hands } = this.night;
    for (let count = 0; count < mostNudges; count += 1) {
      if (nudge(hands, await this.night.atRest(), handsToleranceRad) === undefined) return;
      await hands.whenDone();
    }
  }

  private async whileBusy(words: string, work: () => Promise<void>): Promise<void> {
    this.busy = words;
    try {
      await work();
    } finally {
      this.busy = '';
      this.before = undefined;
    }
  }
}
