import type { Gate } from '../gate.ts';
import type { SiteField } from '../tumble/types.ts';
import type { Vector3 } from '../vector.ts';

/** Mean of the corrected readings at rest on one spacer, the board held parallel to itself. */
export interface SpacerReading {
  spacerM: number;
  /** Up, in g. */
  accelG: Vector3;
  fieldNt: Vector3;
  sigmaFieldNt: number;
}

export interface StandoffOptions {
  site?: SiteField;
  /** The readings were corrected by a swing, so that iron which turns along is no longer in them. */
  isTurningIronKnown?: boolean;
  /** The polar axis in the board as that swing found it, and about how high it stands. */
  swung?: { axisInBoard: Vector3; altitudeRad: number };
  /** How well the board was kept parallel to itself, one sigma. */
  parallelRad?: number;
  /** Where the iron is guessed to be below the board without a spacer, and the sigma of its logarithm. */
  distanceM?: number;
  sigmaLogDistance?: number;
}

export interface StandoffResult {
  accepted: boolean;
  gates: readonly Gate[];
  /** False where the readings cannot be those of iron below the board on these spacers: then the numbers mean nothing. */
  isTelling: boolean;
  /** By how much the iron turns the compass at no spacer, east positive: to be added to the variation. */
  deviationRad: number;
  sigmaDeviationRad: number;
  /** The same at each reading's spacer. */
  deviationsRad: readonly { spacerM: number; deviationRad: number }[];
  /** Size of the iron's field without a spacer. */
  ironNt: number;
  sigmaIronNt: number;
  /** From the iron to the board without a spacer. */
  distanceM: number;
  sigmaLogDistance: number;
  /** What is left far from this iron: the field of the place. */
  strengthNt: number;
  sigmaStrengthNt: number;
  dipRad: number;
  sigmaDipRad: number;
  /** Spacer that brings the deviation under a tenth of a degree; 0 when none is needed. */
  spacerNeededM: number;
  misfit: number;
}
