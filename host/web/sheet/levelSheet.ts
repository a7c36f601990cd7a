import { degree } from '../../../calibration/angle.ts';
import type { LevelResult } from '../../../calibration/level.ts';
import { LevelStep, levelWords } from '../../steps/levelStep.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { sized } from './figures.ts';
import { Gathering, modelInUse } from './gathering.ts';
import type { Night } from './night.ts';
import type { SheetStep } from './sheet.ts';

/** Tilt of the base, from the board laid on it twice, turned by half a turn in between. */
export class LevelSheet implements SheetStep {
  readonly name = 'level';
  readonly #night: Night;
  #gathering: Gathering<LevelStep> | undefined;
  #result: LevelResult | undefined;

  constructor(night: Night) {
    this.#night = night;
  }

  view(): StepView {
    const blank = {
      ...blankView(this.name, 'Level'),
      howSure: 'Turning the board round takes away the error of the accelerometer and of the seat.',
    };
    const hands = this.#night.session.hands ? [{ name: 'hands', label: 'Hands do it', byHands: true }] : [];
    const progress = this.#gathering?.step.progress();
    if (progress) {
      const isSecond = progress.position === 'south';
      return {
        ...blank,
        status: 'under way',
        figure: isSecond ? 'second position' : 'first position',
        toDo: [progress.instruction],
        actions: [
          isSecond ? { name: 'finish', label: 'Finish' } : { name: 'turned', label: 'It is turned' },
          { name: 'cancel', label: 'Give up' },
        ],
      };
    }
    const actions = [{ name: 'start', label: this.#result ? 'Measure again' : 'Start' }, ...hands];
    if (this.#result) return { ...blank, ...resultView(this.#result), actions };
    return {
      ...blank,
      toDo: [
        'Lay the board flat on the base of the mount, z upward, x toward north; then turned by half a turn.',
        'Do this before the swing: it takes the board off its clip. It may be left out.',
      ],
      next: 'Clip the board to the turning part and swing the axis.',
      actions,
    };
  }

  async act({ action }: StepRequest): Promise<void> {
    if (action === 'turned') this.#gathering?.step.turn();
    else if (action === 'finish') this.#finish();
    else if (action === 'cancel') this.close();
    else {
      this.#start();
      if (action === 'hands') await this.#byHands();
    }
  }

  close(): void {
    this.#gathering?.end();
    this.#gathering = undefined;
  }

  #start(): void {
    const { correction } = modelInUse(this.#night.session);
    this.close();
    const step = new LevelStep({ correction }, Math.abs(this.#night.site.latitudeRad));
    this.#gathering = new Gathering(this.#night.session, step);
  }

  async #byHands(): Promise<void> {
    const { hands } = this.#night;
    hands.layOnBase(0);
    hands.rest(2);
    await hands.whenDone();
    this.#gathering?.step.turn();
    hands.layOnBase(180);
    hands.rest(2);
    await hands.whenDone();
    this.#finish();
    hands.clip();
  }

  #finish(): void {
    const { step } = this.#gathering ?? {};
    this.close();
    this.#result = step?.finish();
  }
}

function resultView(result: LevelResult): Partial<StepView> {
  const high = (rad: number, one: string, other: string): string =>
    `${(Math.abs(rad) / degree).toFixed(2)}° higher in the ${rad > 0 ? one : other}`;
  return {
    status: result.accepted ? 'done' : 'refused',
    figure: `${(result.tiltRad / degree).toFixed(2)}°`,
    toDo: levelWords(result).slice(-1),
    measured: [
      { label: 'Along the meridian', value: high(result.northHighRad, 'north', 'south') },
      { label: 'Across it', value: high(result.eastHighRad, 'east', 'west') },
    ],
    howSure: `Tilt ${sized(result.tiltRad, result.sigmaTiltRad)}. ${levelWords(result)[1]}`,
    next: 'Clip the board to the turning part and swing the axis.',
  };
}
