import type { Knob } from '../../../calibration/knob.ts';
import type { Dwell } from '../../../calibration/swing/types.ts';
import { DwellFinder } from '../../../calibration/swing/dwell.ts';
import type { TumbleCalibration } from '../../../calibration/tumble/types.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { LiveSession } from '../../live/session.ts';
import type { Axis } from '../../words/reading.ts';

const restS = 2.5;
const longestWaitMs = 30_000;

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

  /** The mean of the next rest of two and a half seconds. Throws Failure when the board finds no rest. */
  nextRest(): Promise<Dwell> {
    const finder = new DwellFinder();
    return new Promise((resolve, reject) => {
      const end = (): void => {
        clearTimeout(timer);
        stop();
      };
      const stop = this.session.onSample((sample) => {
        finder.offer(sample);
        const rest = finder.dwells.at(-1);
        if (finder.restingS < restS || !rest) return;
        end();
        resolve(rest);
      });
      const timer = setTimeout(() => {
        end();
        const what = 'The board did not rest for two and a half seconds.';
        reject(new Failure(exitCode.badData, what, 'Take your hands off the mount and try again.'));
      }, longestWaitMs);
    });
  }
}
