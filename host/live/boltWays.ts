import { shiftSeen, wayOf, type Bolts, type NeedleErrors } from './boltTurns.ts';
import type { Needles } from './session.ts';

/** The needles have settled after a bolt was turned. */
const restS = 1.5;
/** Needles that are less sure than this move with the roll of the axis, too (2 degrees). */
const surelyRad = 0.035;

/**
 * Notices which way each bolt was turned last, from one rest of the needles to the next: on that side its play is taken up, and
 * an instruction to turn back has to allow for it.
 */
export class BoltWays {
  private readonly bolts: () => Bolts;
  private atRest: NeedleErrors | undefined;
  private restsFromS: number | undefined;

  constructor(bolts: () => Bolts) {
    this.bolts = bolts;
  }

  offer(needles: Needles): void {
    const isSure = needles.sigmaAltitudeErrorRad < surelyRad && needles.sigmaAzimuthErrorRad < surelyRad;
    if (needles.state !== 'still' || needles.isOffClip || !isSure) {
      this.restsFromS = undefined;
      return;
    }
    this.restsFromS ??= needles.arrivalS;
    if (needles.arrivalS - this.restsFromS < restS) return;
    const { atRest } = this;
    this.atRest = needles;
    if (atRest) this.compare(atRest, needles);
  }

  /** The needles start from something else: what they move by now is no turn of a bolt. */
  forget(): void {
    this.atRest = undefined;
  }

  private compare(before: NeedleErrors, after: NeedleErrors): void {
    const bolts = this.bolts();
    for (const axis of ['altitude', 'azimuth'] as const) {
      const shiftRad = shiftSeen(axis, before, after);
      if (shiftRad === 0) continue;
      const knob = bolts[axis];
      if (!knob || Math.sign(shiftRad) === wayOf(knob)) continue;
      bolts[axis] = { ...knob, lastWay: knob.lastWay === 1 ? -1 : 1 };
    }
  }
}
