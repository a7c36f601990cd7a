import type { AxisModel } from '../../../calibration/axisModel.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { LiveSession } from '../../live/session.ts';
import type { Step } from '../../steps/step.ts';
import { clockWords } from '../../words/clock.ts';
import { texts } from './words/shared.ts';

/** A step that is being fed from the session's samples until it is ended. */
export class LiveStep<S extends Step<unknown, unknown>> {
  readonly step: S;
  private readonly startMs = performance.now();
  private readings = 0;
  /** Ends the feeding; the step keeps what it has. */
  readonly end: () => void;

  /** @param skippedS readings of the first seconds are left out: the board is being taken up */
  constructor(session: LiveSession, step: S, skippedS = 0) {
    this.step = step;
    let fromS: number | undefined;
    this.end = session.onSample((sample) => {
      this.readings += 1;
      fromS ??= sample.boardS + skippedS;
      if (sample.boardS >= fromS) step.offer(sample);
    });
  }

  /** `0:12, 607 readings`: it goes on, and the board sends. */
  get words(): string {
    return texts.goneOn(clockWords((performance.now() - this.startMs) / 1000), this.readings);
  }
}

/** What the needles rest on; throws Failure while no board has answered. */
export function modelInUse(session: LiveSession): AxisModel {
  const model = session.axisModel();
  if (!model) throw new Failure(exitCode.usage, 'The board has not answered yet.', 'Wait for the needles.');
  return model;
}
