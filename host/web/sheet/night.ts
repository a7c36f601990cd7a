import type { Knob } from '../../../calibration/knob.ts';
import type { TumbleCalibration } from '../../../calibration/tumble/types.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { LiveSession } from '../../live/session.ts';
import type { Site } from '../../site/site.ts';
import { findCalibration } from '../../store/profile.ts';
import type { Axis } from '../../words/reading.ts';

type Hello = NonNullable<ReturnType<NonNullable<LiveSession['hello']>>>;

/** What the steps of one night share. */
export class Night {
  readonly session: LiveSession;
  /** Tonight's tumble. */
  calibration: TumbleCalibration | undefined;
  readonly knobs: Partial<Record<Axis, Knob>> = {};

  constructor(session: LiveSession) {
    this.session = session;
  }

  get hands(): NonNullable<LiveSession['hands']> {
    const { hands } = this.session;
    if (!hands) throw new Failure(exitCode.usage, 'Only a virtual mount has virtual hands.', 'Do it with your own.');
    return hands;
  }

  get site(): Site {
    const { site } = this.session;
    if (!site) throw new Failure(exitCode.usage, 'The site is not known.', 'Give it in the first step.');
    return site;
  }

  get hello(): Hello {
    const hello = this.session.hello?.();
    if (!hello) throw new Failure(exitCode.noBoard, 'The board has not said hello yet.', 'Wait until it answers.');
    return hello;
  }

  /** Tonight's calibration, else the one that is kept for this board. Throws Failure when there is none. */
  async calibrationToUse(): Promise<TumbleCalibration> {
    if (this.calibration) return this.calibration;
    const kept = await findCalibration(this.hello, this.session.latest()?.temperatureC);
    if ('calibration' in kept) return kept.calibration;
    throw new Failure(exitCode.usage, kept.reason, 'Do the tumble first, then this step.');
  }
}
