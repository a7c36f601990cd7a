import type { BoardSample } from '../link/boardSample.ts';

/**
 * A step of the night that gathers live samples: fed one by one, asked for a snapshot at any time, closed once.
 * The terminal, the JSON stream and the page all show the same `Progress`; it is plain data that JSON can carry.
 */
export interface Step<Progress, Result> {
  offer(sample: BoardSample): void;
  /** Cheap: called several times a second. */
  progress(): Progress;
  finish(): Result;
}
