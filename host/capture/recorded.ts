import type { AxisModel } from '../../calibration/axisModel.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import type { Hello } from '../../firmware-proto/wire.ts';
import type { Site } from '../site/site.ts';

/** One sample of a file, in the board's frame (capture) or the file's own axes (CSV). What the file lacks is undefined. */
export interface RecordedSample {
  /** Seconds on the file's own clock. */
  timeS?: number;
  /** g, or counts when the scale is unknown. */
  accelG?: Vector3;
  /** nT, or counts when the scale is unknown. */
  fieldNt?: Vector3;
  /** Degrees per second, or counts when the scale is unknown. */
  rateDps?: Vector3;
  temperatureC?: number;
}

/** A file of samples, read as a stream: memory stays bounded however long the file is. */
export interface Recording {
  readonly kind: 'capture' | 'csv';
  readonly path: string;
  readonly hello?: Hello;
  readonly site?: Site;
  /** The model that the needles rested on when it was recorded. */
  readonly axisModel?: AxisModel;
  /** When it was begun, where the file says so. */
  readonly startedUtcMs?: number;
  readonly has: { accelerometer: boolean; magnetometer: boolean; gyro: boolean; temperature: boolean; time: boolean };
  /** False where any sensor has `_raw` columns: counts of unknown scale. */
  readonly scaleKnown: boolean;
  /** The sensors that have them. */
  readonly rawScale: { accelerometer: boolean; magnetometer: boolean };
  /** Throws Failure at the first row of a CSV file that is not sound, naming line, column and what to do. */
  readonly samples: AsyncIterable<RecordedSample>;
  /** Lines by name, complete once `samples` has ended: samples, and what was skipped and why. */
  readonly counters: Readonly<Record<string, number>>;
  /** What was skipped and looks as if it were meant to be read. */
  readonly warnings: readonly string[];
  /** What the columns of a CSV file were taken for, where its names are not this program's own. */
  readonly notes: readonly string[];
}
