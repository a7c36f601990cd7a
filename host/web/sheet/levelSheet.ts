import { degree } from '../../../calibration/angle.ts';
import { decisive } from '../../../calibration/gate.ts';
import type { LevelResult } from '../../../calibration/level.ts';
import { levelPlace, LevelStep, levelWords } from '../../steps/levelStep.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { gateWords, sized } from './giveOrTake.ts';
import { modelInUse } from './liveStep.ts';
import { cancelAction, finishAction, GatheringSheet } from './gatheringSheet.ts';
import { texts } from './words/level.ts';

/** Tilt of the base, from the board laid on it twice, turned by half a turn in between. */
export class LevelSheet extends GatheringSheet<LevelStep> {
  readonly name = 'level';
  protected override readonly takesBoard = true;
  private result: LevelResult | undefined;

  protected override forget(): void {
    this.result = undefined;
  }

  view(): StepView {
    const blank = {
      ...blankView(this.name, texts.title),
      howSure: texts.whyTurn,
    };
    const progress = this.step?.progress();
    if (progress) {
      const isSecond = progress.position === 'south';
      return {
        ...blank,
        status: 'under way',
        figure: isSecond ? texts.secondPosition : texts.firstPosition,
        toDo: [progress.instruction],
        actions: [isSecond ? finishAction : { name: 'turned', label: texts.turnedButton }, cancelAction],
      };
    }
    const actions = this.beginnings(this.result ? texts.againButton : texts.startButton, texts.handsButton);
    if (this.result) return { ...blank, ...resultView(this.result), actions };
    return {
      ...blank,
      toDo: [texts.layBoard, texts.beforeSwing],
      next: texts.thenSwing,
      actions,
    };
  }

  protected begin(): LevelStep {
    const { session, site, calibration = session.virtual?.calibration } = this.night;
    // the needles' own correction holds in the clip only
    const { correction } = calibration ?? modelInUse(session);
    const isFieldCalibrated = calibration !== undefined;
    return new LevelStep({ correction, place: levelPlace(site, new Date()), isFieldCalibrated });
  }

  protected override press({ action }: StepRequest): boolean {
    if (action !== 'turned') return false;
    this.step?.turn();
    return true;
  }

  protected async byHands(): Promise<void> {
    const { hands } = this.night;
    hands.layOnBase(0);
    hands.rest(2);
    await hands.whenDone();
    this.step?.turn();
    hands.layOnBase(180);
    hands.rest(2);
    await hands.whenDone();
    await this.finish();
    hands.clip();
  }

  protected async conclude(result: LevelResult): Promise<void> {
    this.result = result;
    if (result.accepted) await this.night.carried.log.noteStep('level', texts.noted(levelWords(result)[0]));
  }
}

function resultView(result: LevelResult): Partial<StepView> {
  const high = (rad: number, one: string, other: string): string =>
    texts.higher((Math.abs(rad) / degree).toFixed(2), rad > 0 ? one : other);
  const gate = decisive(result.gates);
  if (!result.accepted) return { status: 'refused', toDo: gate ? [gateWords(gate)] : [], next: texts.measureAgain };
  return {
    status: 'done',
    figure: `${(result.tiltRad / degree).toFixed(2)}°`,
    toDo: levelWords(result).slice(-1),
    measured: [
      { label: texts.alongMeridian, value: high(result.northHighRad, 'north', 'south') },
      { label: texts.acrossMeridian, value: high(result.eastHighRad, 'east', 'west') },
    ],
    howSure: texts.tilt(sized(result.tiltRad, result.sigmaTiltRad), levelWords(result)[1]),
    next: texts.thenSwing,
  };
}
