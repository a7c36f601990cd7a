import { degree } from '../../calibration/angle.ts';
import type { VirtualHands } from './hands.ts';
import type { BoltName } from './mount.ts';
import type { Random } from './random.ts';

/** What a person at the mount can read off the needles: never the truth. */
export interface Shown {
  altitudeErrorRad: number;
  azimuthErrorRad: number;
}

/** How far the hands believe that one turn of a bolt goes. */
export interface Believed {
  altitudeRadPerTurn: number;
  azimuthRadPerTurn: number;
}

const guessed: Believed = { altitudeRadPerTurn: 1.2 * degree, azimuthRadPerTurn: 1.2 * degree };
const largestTurns = 1.5;

/** Turns of a bolt that would bring the error shown to zero, at most one and a half at a time. */
function turnsFor(bolt: BoltName, shown: Shown, believed: Believed = guessed): number {
  const wanted =
    bolt === 'altitude'
      ? -shown.altitudeErrorRad / believed.altitudeRadPerTurn
      : -shown.azimuthErrorRad / believed.azimuthRadPerTurn;
  return Math.max(-largestTurns, Math.min(largestTurns, wanted));
}

/**
 * One nudge by what is shown: the bolt of the larger error is turned toward zero.
 * Returns the world time at which it will be done, or undefined when both errors are within `tolerance`.
 */
export function nudge(
  hands: VirtualHands,
  shown: Shown,
  toleranceRad: number,
  believed: Believed = guessed,
): number | undefined {
  const bolt: BoltName = Math.abs(shown.altitudeErrorRad) > Math.abs(shown.azimuthErrorRad) ? 'altitude' : 'azimuth';
  const worst = Math.max(Math.abs(shown.altitudeErrorRad), Math.abs(shown.azimuthErrorRad));
  return worst <= toleranceRad ? undefined : hands.turnBolt(bolt, turnsFor(bolt, shown, believed));
}

/**
 * Hands that keep a display alive when nobody is at the keys: they bring the needles slowly to zero by what is shown,
 * rest there, turn the bolts away again and start anew.
 */
export class PracticeHands {
  private readonly hands: VirtualHands;
  private readonly random: Random;
  private readonly believed: Believed;
  private restedTimes = 0;

  constructor(hands: VirtualHands, random: Random, believed: Believed = guessed) {
    this.hands = hands;
    this.random = random;
    this.believed = believed;
  }

  /** Call about once a second with the needles at rest; does nothing while the hands are busy. */
  offer(shown: Shown, toleranceRad: number): void {
    if (this.hands.busy()) return;
    if (nudge(this.hands, shown, toleranceRad, this.believed) !== undefined) {
      this.hands.rest(this.random.between(2, 5));
      this.restedTimes = 0;
      return;
    }
    this.restedTimes += 1;
    this.hands.rest(6);
    if (this.restedTimes < 2) return;
    this.restedTimes = 0;
    this.hands.turnBolt('altitude', this.random.between(-1.5, 1.5));
    this.hands.turnBolt('azimuth', this.random.between(-2, 2));
    this.hands.rest(4);
  }
}
