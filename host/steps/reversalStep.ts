import { DwellFinder, type TimedReading } from '../../calibration/swing/dwell.ts';
import { fitReversal, type ReversalOptions } from '../../calibration/swing/fitReversal.ts';
import type { Dwell, SwingResult } from '../../calibration/swing/types.ts';
import type { TumbleCalibration } from '../../calibration/tumble/types.ts';
import { exitCode, Failure } from '../failure.ts';
import type { Step } from './step.ts';

export interface ReversalProgress {
  isEndForEnd: boolean;
  restCounts: boolean;
  isEnough: boolean;
  instruction: string;
}

/** Where nothing turns: a rest in the clip, and one with the board end for end on the same seat. */
export class ReversalStep implements Step<ReversalProgress, SwingResult> {
  private readonly calibration: TumbleCalibration;
  private readonly options: ReversalOptions;
  private first: readonly Dwell[] | undefined;
  private finder = new DwellFinder();

  constructor(calibration: TumbleCalibration, options: ReversalOptions = {}) {
    this.calibration = calibration;
    this.options = options;
  }

  offer(sample: TimedReading): void {
    this.finder.offer(sample);
  }

  /** The board was taken off and clipped on end for end. */
  turnEndForEnd(): void {
    this.finder.close();
    this.first = this.finder.dwells;
    this.finder = new DwellFinder();
  }

  progress(): ReversalProgress {
    const restCounts = this.finder.restCounts();
    const isEndForEnd = this.first !== undefined;
    return {
      isEndForEnd,
      restCounts,
      isEnough: isEndForEnd && restCounts,
      instruction: !restCounts
        ? 'Hands off: let the mount rest for two seconds.'
        : isEndForEnd
          ? 'Enough. Finish here.'
          : 'Now take the board off and clip it on end for end, on the same seat.',
    };
  }

  finish(): SwingResult {
    this.finder.close();
    return fitEndForEnd(this.first ?? [], this.finder.dwells, this.calibration, this.options);
  }
}

/** As `fitReversal`, with what is missing told as something to do. */
export function fitEndForEnd(
  first: readonly Dwell[],
  second: readonly Dwell[],
  calibration: TumbleCalibration,
  options: ReversalOptions,
): SwingResult {
  if (first.length > 0 && second.length > 0) return fitReversal(first, second, calibration, options);
  throw new Failure(
    exitCode.refused,
    `No rest ${first.length === 0 ? 'the first way round' : 'end for end'} was found.`,
    'Let the board rest for two seconds in its clip, then end for end on the same seat.',
  );
}
