import type { LiveSession } from '../../live/session.ts';
import type { Step } from '../../steps/step.ts';

/** A step that is being fed from the session's samples until it is ended. */
export class Gathering<S extends Step<unknown, unknown>> {
  readonly step: S;
  /** Ends the feeding; the step keeps what it has. */
  readonly end: () => void;

  constructor(session: LiveSession, step: S) {
    this.step = step;
    this.end = session.onSample((sample) => step.offer(sample));
  }
}
