import { needleStepRad } from '../../calibration/answer.ts';
import { degree } from '../../calibration/angle.ts';
import { fitKnob, type Knob, type KnobTurn } from '../../calibration/knob.ts';
import { exitCode, Failure } from '../failure.ts';
import type { Needles } from './session.ts';
import type { BoltTurn } from '../words/instruction.ts';
import { bandSigmas, errorOf, type Axis } from '../words/reading.ts';
import { texts } from './words.ts';

/** A bolt that moves its needle by less than this many sigmas was not turned. */
const leastSigmas = 3;

export type Bolts = Partial<Record<Axis, Knob>>;

/** What is compared of two rests of the needles. */
export type NeedleErrors = Pick<Needles, 'altitudeErrorRad' | 'azimuthErrorRad'>;

/** How far the needle went from one rest to another; 0 where that is no more than two rests can tell apart. */
export function shiftSeen(axis: Axis, before: NeedleErrors, after: NeedleErrors): number {
  const shiftRad = errorOf(axis, after) - errorOf(axis, before);
  return Math.abs(shiftRad) < leastSigmas * needleStepRad[axis] ? 0 : shiftRad;
}

/** Way that the error went when the bolt was turned last. */
export const wayOf = ({ radPerTurn, lastWay }: Knob): 1 | -1 => (radPerTurn > 0 === lastWay > 0 ? 1 : -1);

/** For instructions: a play that is not known yet is left out. */
export function boltTurn(knob: Knob | undefined): BoltTurn | undefined {
  if (!knob) return undefined;
  return {
    degPerTurn: Math.abs(knob.radPerTurn) / degree,
    playTurns: isPlayKnown(knob) ? knob.backlashTurns : 0,
    lastWay: wayOf(knob),
  };
}

const isPlayKnown = ({ backlashTurns, sigmaBacklashTurns }: Knob): boolean =>
  backlashTurns > bandSigmas * sigmaBacklashTurns;

/** The turns that a person counted tonight. Whichever way a bolt was turned, its needle tells it. */
export class CountedTurns {
  private readonly made: Record<Axis, KnobTurn[]> = { altitude: [], azimuth: [] };

  /**
   * What a turn does, from this one and those before it.
   * @param bolts what was known before this turn: which side the play was on
   * Throws Failure where the needle did not move.
   */
  add(axis: Axis, turns: number, before: NeedleErrors, after: NeedleErrors, bolts: Bolts): Knob {
    const shiftRad = shiftSeen(axis, before, after);
    if (shiftRad === 0) {
      throw new Failure(
        exitCode.badData,
        `The ${axis} needle did not move.`,
        'Did you turn the other bolt, or is it still locked?',
      );
    }
    const known = bolts[axis];
    this.made[axis].push({
      turns: Math.abs(turns) * Math.sign(shiftRad),
      shiftRad,
      sigmaShiftRad: needleStepRad[axis],
      wayBefore: known && wayOf(known),
    });
    return fitKnob(this.made[axis]);
  }

  forget(): void {
    this.made.altitude = [];
    this.made.azimuth = [];
  }
}

/** `One turn in altitude is 1.43°, give or take 0.07°.`, with what would make it surer. */
export function countedWords(axis: Axis, knob: Knob): string {
  const [size, band] = [knob.radPerTurn, bandSigmas * knob.sigmaRadPerTurn].map((rad) =>
    Math.abs(rad / degree).toFixed(2),
  );
  const next = isPlayKnown(knob) ? texts.backlash(playWords(knob)) : texts.measureBacklash;
  return texts.oneTurn(axis, size, band, next);
}

/** `0.15 turn, give or take 0.04`; how much at most while it cannot be told from none. */
export function playWords(knob: Knob): string {
  const bandTurns = bandSigmas * knob.sigmaBacklashTurns;
  return isPlayKnown(knob)
    ? texts.backlashTurns(knob.backlashTurns.toFixed(2), bandTurns.toFixed(2))
    : texts.backlashBelow((knob.backlashTurns + bandTurns).toFixed(2));
}
