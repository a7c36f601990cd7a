import type { RawCounts } from './board.ts';

/** The physical world around one virtual board. */
export interface World {
  /** Moves the world to `worldS` seconds after power-up and reads the chips there. */
  countsAt(worldS: number): RawCounts;
  /** Errors of the virtual polar axis at the last instant read; for displays and tests, never for the estimator. */
  truth(): { altitudeErrorRad: number; azimuthErrorRad: number; distanceRad: number };
  turnBolt(bolt: 'altitude' | 'azimuth', turns: number): void;
}
