import type { AxisModel } from '../../calibration/axisModel.ts';
import type { Knob } from '../../calibration/knob.ts';
import type { LockShift } from '../../calibration/lock.ts';
import type { StandoffResult } from '../../calibration/standoff/types.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import type { SwingResult, SwingSite } from '../../calibration/swing/types.ts';
import type { TumbleResult } from '../../calibration/tumble/types.ts';
import type { VirtualHands } from '../../firmware-proto/virtual/hands.ts';
import type { RestErrors } from '../steps/nudge.ts';
import type { Axis } from '../words/reading.ts';

/** Lets the hands do something and hands over every sample of the board until they are done. */
export type Act = (
  gesture: (hands: VirtualHands) => unknown,
  onSample: (sample: TimedReading) => void,
) => Promise<void>;

export interface Stage {
  act: Act;
  site: SwingSite;
  /** Tells the onlooker what was found and what comes next. */
  tell(line: string): void;
  /** The swing is done: needles may use it. */
  useModel(model: AxisModel): void;
}

export interface WholeFlow {
  tumble: TumbleResult;
  swing: SwingResult;
  standoff: StandoffResult;
  /** As the board shows them: before the nudges, after them, and after locking. */
  first: RestErrors;
  nudged: RestErrors;
  locked: RestErrors;
  lock: LockShift;
  knobs: Record<Axis, Knob>;
}
