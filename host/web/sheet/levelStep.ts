import { degree } from '../../../calibration/angle.ts';
import { correct } from '../../../calibration/correction.ts';
import { decisive } from '../../../calibration/gate.ts';
import { fitLevel, type LevelResult, type LyingReading } from '../../../calibration/level.ts';
import type { Dwell } from '../../../calibration/swing/types.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { gateWords, sized } from './figures.ts';
import type { Night } from './night.ts';
import type { SheetStep } from './sheet.ts';

/** Tilt of the base, from the board laid on it twice, turned by half a turn in between. */
export class LevelStep implements SheetStep {
  readonly name = 'level';
  readonly #night: Night;
  #first: LyingReading | undefined;
  #result: LevelResult | undefined;
  #waiting: string | undefined;

  constructor(night: Night) {
    this.#night = night;
  }

  view(): StepView {
    const blank = blankView(this.name, 'Level');
    const actions = [
      this.#first && !this.#result
        ? { name: 'second', label: 'It lies turned' }
        : { name: 'first', label: this.#result ? 'Measure again' : 'It lies, x north' },
      ...(this.#night.session.hands ? [{ name: 'hands', label: 'Let the hands do it', byHands: true }] : []),
    ];
    if (this.#waiting) return { ...blank, status: 'under way', toDo: [this.#waiting], figure: 'waiting for rest' };
    if (this.#result) return { ...blank, ...resultView(this.#result), actions };
    return {
      ...blank,
      status: this.#first ? 'under way' : 'to do',
      toDo: this.#first
        ? ['Turn the board by half a turn on the base: x toward south now.']
        : [
            'Lay the board flat on the base of the mount: z upward, x toward north.',
            'Do this before the swing: it takes the board off its clip.',
          ],
      howSure: 'Turning it round takes away the error of the accelerometer and of the seat.',
      actions,
    };
  }

  async act({ action }: StepRequest): Promise<void> {
    if (action === 'hands') return this.#byHands();
    if (action === 'first') {
      this.#result = undefined;
      this.#first = await this.#lying('Reading the first position …');
      return;
    }
    this.#finish(await this.#lying('Reading the second position …'));
  }

  async #byHands(): Promise<void> {
    const { hands } = this.#night;
    const readings: LyingReading[] = [];
    for (const turned of [0, 180] as const) {
      hands.layOnBase(turned);
      this.#waiting = 'The hands lay the board on the base …';
      await hands.whenDone();
      readings.push(await this.#lying('Reading …'));
    }
    hands.clip();
    this.#first = readings[0];
    this.#finish(readings[1]);
  }

  #finish(second: LyingReading): void {
    const { site } = this.#night.session;
    if (this.#first) this.#result = fitLevel(this.#first, second, Math.abs(site?.latitudeRad ?? 0));
    this.#first = undefined;
  }

  async #lying(words: string): Promise<LyingReading> {
    const correction = this.#night.session.axisModel?.()?.correction;
    if (!correction) throw new Failure(exitCode.usage, 'The board has not answered yet.', 'Wait for the needles.');
    this.#waiting = words;
    try {
      const rest: Dwell = await this.#night.nextRest();
      return { accelG: correct(correction.accelerometer, rest.accelG), sigmaAccelG: rest.sigmaAccelG };
    } finally {
      this.#waiting = undefined;
    }
  }
}

function resultView(result: LevelResult): Partial<StepView> {
  const gate = decisive(result.gates);
  const side = (rad: number, high: string, low: string): string =>
    `${(Math.abs(rad) / degree).toFixed(2)}°, ${rad > 0 ? high : low} side high`;
  const coupling = Math.abs(result.altitudePerAzimuth * 60).toFixed(0);
  return {
    status: result.accepted ? 'done' : 'refused',
    figure: `${(result.tiltRad / degree).toFixed(2)}°`,
    toDo: [gate ? gateWords(gate) : 'The base is level enough.'],
    measured: [
      { label: 'Along the meridian', value: side(result.northHighRad, 'north', 'south') },
      { label: 'Across it', value: side(result.eastHighRad, 'east', 'west') },
      { label: 'A degree of azimuth moves altitude by', value: `${coupling}′` },
    ],
    howSure: `Tilt ${sized(result.tiltRad, result.sigmaTiltRad)}.`,
    next: 'Clip the board to the turning part and swing the axis. Set azimuth first, altitude last.',
  };
}
