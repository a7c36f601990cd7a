import { multiply, rotationAbout, type Matrix3 } from '../../calibration/vector.ts';
import { flat } from './handsPath.ts';
import type { Mount } from './mount.ts';

/** Where the board is: on the turning part, on a seat along it that does not turn, in the hand away from iron, or lying on the base. */
export type Placement = 'axis' | 'seat' | 'hand' | 'base';

/** One way round, and end for end. */
export type BothWays = readonly [Matrix3, Matrix3];

/** Where the board is and how it is turned; hands move it from one placement to the next. */
export class Pose {
  placement: Placement = 'axis';
  /** Field of a piece of iron that was clamped to the mount below the clip, at the board without a spacer, nT. */
  clampedIronNt = 0;
  /** Clipped on end for end: the board's x axis points away from the pole. */
  reversed = false;
  /** Lies on the base turned by half a turn. */
  turnedOnBase = false;
  spacerM = 0;
  /** While in the hand, or on the way. */
  heldAttitude: Matrix3 | undefined;
  /** How much the iron of the tripod, and that of the turning part, acts on the board: 0 away from it, 1 in place. */
  tripodShare = 1;
  turningShare = 1;
  /** Shaking by the hand that holds it, 1 sigma in g. */
  shakeG = 0;
  /** A car that has driven up, 0..1. */
  carShare = 0;
  private readonly mount: Mount;
  private readonly clip: Matrix3;
  private readonly reversedClip: Matrix3;
  private readonly seat: Matrix3;
  private readonly reversedSeat: Matrix3;
  private readonly onBase: Matrix3;

  /** The small rotations by which the board sits askew in its clip, on the seat that does not turn, each with end for end, and on the base. */
  constructor(mount: Mount, clip: BothWays, seat: BothWays, onBase: Matrix3) {
    this.mount = mount;
    const halfTurn = rotationAbout([0, 0, 1], Math.PI);
    this.clip = clip[0];
    this.reversedClip = multiply(halfTurn, clip[1]);
    this.seat = seat[0];
    this.reversedSeat = multiply(halfTurn, seat[1]);
    this.onBase = multiply(flat, onBase);
  }

  /** Board to north-east-down, now. */
  get attitude(): Matrix3 {
    return this.heldAttitude ?? this.restingAttitude(this.placement, this.reversed, this.turnedOnBase);
  }

  restingAttitude(placement: Placement, reversed: boolean, turnedOnBase: boolean): Matrix3 {
    if (placement === 'axis') return multiply(this.mount.turningFrame, reversed ? this.reversedClip : this.clip);
    if (placement === 'seat') return multiply(this.mount.axisFrame, reversed ? this.reversedSeat : this.seat);
    const turn = rotationAbout([0, 0, 1], turnedOnBase ? Math.PI : 0);
    return multiply(this.mount.tilt, multiply(turn, this.onBase));
  }
}
