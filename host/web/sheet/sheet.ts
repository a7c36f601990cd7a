import { exitCode, Failure } from '../../failure.ts';
import type { SheetMessage, StepName, StepRequest, StepView } from '../messages.ts';

/** One step of the night as the page shows it. */
export interface SheetStep {
  readonly name: StepName;
  /** Cheap: asked several times a second while somebody looks. */
  view(): StepView;
  /** Of a step that lasts: what changes while it says the same. */
  goingOn?(): StepView['measured'];
  /** Virtual hands are at it: they end it by themselves, so that only giving up is offered. */
  readonly isLedByHands?: boolean;
  /** Does what a button asked for; throws Failure with what to do instead. */
  act(request: StepRequest): void | Promise<void>;
  close?(): void;
}

function shown(step: SheetStep): StepView {
  const view = step.view();
  if (step.isLedByHands) view.actions = view.actions.filter(({ name }) => name === 'cancel');
  const lines = view.status === 'under way' ? (step.goingOn?.() ?? []) : [];
  return lines.length === 0 ? view : { ...view, measured: [...lines, ...view.measured] };
}

/** The steps in the order in which one walks them. */
export class Sheet {
  private readonly steps: readonly SheetStep[];

  constructor(steps: readonly SheetStep[]) {
    this.steps = steps;
  }

  message(): SheetMessage {
    return { kind: 'sheet', steps: this.steps.map(shown) };
  }

  async act(name: string, request: StepRequest): Promise<void> {
    const step = this.steps.find((candidate) => candidate.name === name);
    if (!step) throw new Failure(exitCode.usage, `There is no step "${name.slice(0, 40)}".`, 'Reload the page.');
    if (!step.view().actions.some(({ name: known }) => known === request.action))
      throw new Failure(
        exitCode.usage,
        `"${request.action}" is not offered in this step now.`,
        'Follow what the step says.',
      );
    await step.act(request);
  }

  close(): void {
    for (const step of this.steps) step.close?.();
  }
}
