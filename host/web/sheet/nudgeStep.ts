import type { LiveSession } from '../../live/session.ts';
import type { StepView } from '../messages.ts';
import type { SheetStep } from './sheet.ts';

export class NudgeStep implements SheetStep {
  readonly name = 'nudge';
  readonly #session: LiveSession;

  constructor(session: LiveSession) {
    this.#session = session;
  }

  view(): StepView {
    const needles = this.#session.latest();
    return {
      name: this.name,
      title: 'Nudge',
      status: needles ? 'under way' : 'to do',
      figure: '',
      toDo: [],
      measured: [],
      howSure: '',
      next: '',
      cautions: [],
      fields: [],
      actions: [],
    };
  }

  act(): void {}
}
