import { exitCode, Failure } from '../../failure.ts';
import type { Step } from '../../steps/step.ts';
import type { Action, StepName, StepRequest, StepView } from '../messages.ts';
import { LiveStep } from './liveStep.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';
import { texts } from './words/shared.ts';

/**
 * A step that gathers samples. All of them are begun, finished and given up by the same buttons, and done by the virtual hands
 * where there are any; what lies in between is their own. A step that cannot be finished yet goes on gathering.
 */
export abstract class GatheringSheet<S extends Step<unknown, unknown>> implements SheetStep {
  abstract readonly name: StepName;
  protected readonly night: Night;
  /** Readings of the first seconds are left out. */
  protected readonly skippedS: number = 0;
  /** The board is not on its clip meanwhile, so that the needles tell nothing. */
  protected readonly takesBoard: boolean = false;
  private gathering: LiveStep<S> | undefined;
  private isByHands = false;

  constructor(night: Night) {
    this.night = night;
    if (!this.forget) return;
    night.onMoved(() => {
      this.close();
      this.forget?.();
    });
  }

  abstract view(): StepView;

  /** The step that is to be fed from now on; throws Failure with what is missing. `action` is `start`, `hands`, or its own; one that begins with `hands` is done by them. */
  protected abstract begin(action: string): S | Promise<S>;
  /** Shows and keeps what came of it. */
  protected abstract conclude(result: ReturnType<S['finish']>, step: S): void | Promise<void>;
  /** Does with virtual hands all that a person would, `finish` included. */
  protected abstract byHands(): Promise<void>;
  /** A button of its own; false where that begins the gathering. */
  protected press?(request: StepRequest): boolean | Promise<boolean>;
  /** Gives up what was measured elsewhere, for a step whose readings do not hold at another site. */
  protected forget?(): void;
  /** The step under way. */
  protected get step(): S | undefined {
    return this.gathering?.step;
  }

  protected beginnings(label: string, handsLabel: string): Action[] {
    const hands = { name: 'hands', label: handsLabel, byHands: true };
    return [{ name: 'start', label }, ...(this.night.session.virtual?.hands ? [hands] : [])];
  }

  get isLedByHands(): boolean {
    return this.isByHands && this.gathering !== undefined;
  }

  /** How long it goes on, and what the virtual hands do meanwhile. */
  goingOn(): StepView['measured'] {
    if (!this.gathering) return [];
    const hands = this.isByHands ? this.night.session.virtual?.hands.words() : undefined;
    return [
      { label: texts.underWayLabel, value: this.gathering.words },
      ...(hands === undefined ? [] : [{ label: texts.handsLabel, value: hands }]),
    ];
  }

  async act(request: StepRequest): Promise<void> {
    const { action } = request;
    if (action === 'finish') await this.finish();
    else if (action === 'cancel') await this.giveUp();
    else if (!(await this.press?.(request))) {
      if (this.night.underWay !== '' && !this.gathering) {
        throw new Failure(
          exitCode.usage,
          `${this.night.underWay} is under way, and the board can be in one place only.`,
          'Finish that step or give it up, then start this one.',
        );
      }
      const step = await this.begin(action);
      this.close();
      this.night.underWay = this.view().title;
      if (this.takesBoard) this.night.session.takeBoard(true);
      this.gathering = new LiveStep(this.night.session, step, this.skippedS);
      this.isByHands = action.startsWith('hands');
      if (!this.isByHands) return;
      try {
        await this.byHands();
      } finally {
        this.isByHands = false;
      }
    }
  }

  close(): void {
    if (!this.gathering) return;
    this.night.underWay = '';
    this.gathering.end();
    if (this.takesBoard) this.night.session.takeBoard(false);
    this.gathering = undefined;
  }

  protected giveUp(): void | Promise<void> {
    this.close();
  }

  protected async finish(): Promise<void> {
    const { step } = this;
    if (!step) return;
    const result = step.finish() as ReturnType<S['finish']>;
    this.close();
    await this.conclude(result, step);
  }
}

export const finishAction: Action = { name: 'finish', label: texts.finishButton };
export const cancelAction: Action = { name: 'cancel', label: texts.giveUpButton };
