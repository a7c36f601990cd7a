import type { Readings } from './invariants.ts';

export interface Motion {
  /** One of `rateClass` per reading. */
  classes: Uint8Array;
  /**
   * Row-major 3 x 3 per reading, g per metre: by this times its place from the point about which it is turned a board feels more than
   * gravity, ([w]x[w]x + [dw/dt]x) / g, in its own frame. Zero where the motion is not known.
   */
  perLever: Float64Array;
  /**
   * Three numbers per reading, nT/s and nT/s^2: how the field's reading changes while the board is turned, and how that changes. Zero
   * where the motion is not known.
   */
  perLag: Float64Array;
  perLagSquared: Float64Array;
}

export interface MergedReadings {
  readings: Readings;
  /** How many readings each one is the mean of. */
  counts: Float64Array;
  /** When each began and ended, seconds; undefined without times that run on. */
  firstS?: Float64Array;
  lastS?: Float64Array;
  motion?: Motion;
}
