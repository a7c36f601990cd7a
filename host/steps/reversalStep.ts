import { correct } from '../../calibration/correction.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import { DwellFinder } from '../../calibration/swing/dwell.ts';
import { fitReversal, type ReversalOptions } from '../../calibration/swing/fitReversal.ts';
import type { Dwell, SwingResult } from '../../calibration/swing/types.ts';
import type { TumbleCalibration } from '../../calibration/tumble/types.ts';
import { dot } from '../../calibration/vector.ts';
import type { Hands } from '../../firmware-proto/virtual/hands.ts';
import { exitCode, Failure } from '../failure.ts';
import { restWords } from '../words/rest.ts';
import type { Step } from './step.ts';
import { texts } from './words/reversal.ts';

export interface ReversalProgress {
  isEndForEnd: boolean;
  restCounts: boolean;
  isEnough: boolean;
  instruction: string;
}

/** The seat may slope by so much the other way and still be taken as told (6 degrees). */
const nearLevelG = 0.1;

/** Where nothing turns: a rest in the clip, and one with the board end for end on the same seat. */
export class ReversalStep implements Step<ReversalProgress, SwingResult> {
  private calibration: TumbleCalibration;
  private options: ReversalOptions;
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
    this.first = this.facing(this.finder.dwells, 1);
    this.finder = new DwellFinder();
  }

  /** From now on, and for the rests so far, another calibration and site hold. */
  judgeBy(calibration: TumbleCalibration, options: ReversalOptions): void {
    this.calibration = calibration;
    this.options = options;
  }

  progress(): ReversalProgress {
    const restCounts = this.finder.restIsLong();
    const isEndForEnd = this.first !== undefined;
    return {
      isEndForEnd,
      restCounts,
      isEnough: isEndForEnd && restCounts,
      instruction: !restCounts
        ? texts.handsOff(restWords(this.finder.restWantedS))
        : isEndForEnd
          ? texts.finish
          : texts.turnRound,
    };
  }

  finish(): SwingResult {
    this.finder.close();
    return fitEndForEnd(this.first ?? [], this.facing(this.finder.dwells, -1), this.calibration, this.options);
  }

  /**
   * Rests the right way round. The board lies still for a moment before it is told that it was turned: the pole stands above
   * the horizon, so that gravity tells such a rest from the others.
   */
  private facing(dwells: readonly Dwell[], sense: 1 | -1): readonly Dwell[] {
    const { toward = [1, 0, 0] as const } = this.options;
    const { accelerometer } = this.calibration.correction;
    return dwells.filter(({ accelG }) => sense * dot(correct(accelerometer, accelG), toward) > -nearLevelG);
  }
}

const mostRests = 20;

/** Virtual hands stay off until the rest is long enough. */
async function restOnSeat(step: ReversalStep, hands: Hands | undefined): Promise<void> {
  for (let rests = 0; rests < mostRests; rests += 1) {
    hands?.rest(1.5);
    await hands?.whenDone();
    if (step.progress().restCounts) return;
  }
}

/** Virtual hands rest the board on the seat, clip it on end for end and rest it again. */
export async function reverseByHands(step: ReversalStep, hands: Hands | undefined): Promise<void> {
  await restOnSeat(step, hands);
  step.turnEndForEnd();
  hands?.seat(true);
  await restOnSeat(step, hands);
}

/** What no turning round tells (`seatRad` of `fitReversal`, two sigmas). */
export const seatWords = texts.seat;

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
    `No rest was found with the board ${first.length === 0 ? 'the first way round' : 'end for end'}.`,
    'Let the board rest for two seconds in its clip, then end for end on the same seat.',
  );
}
