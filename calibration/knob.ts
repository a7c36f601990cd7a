import { adjust, sigmaOf, type MeasurementModel } from './adjust.ts';

/** A turn that the user made, and what it did to the error of that axis. */
export interface KnobTurn {
  /** Signed: clockwise as the user counts it, or either way, but always the same. */
  turns: number;
  shiftRad: number;
  sigmaShiftRad: number;
  /** Sign of the turning before this, where it was not counted itself and yet is known. */
  wayBefore?: 1 | -1;
}

export interface Knob {
  /** Signed: what one turn does to the error. */
  radPerTurn: number;
  sigmaRadPerTurn: number;
  /** Free play when the direction changes, in turns. */
  backlashTurns: number;
  sigmaBacklashTurns: number;
  /** Way of the last turn made: the play is taken up on this side. */
  lastWay: 1 | -1;
}

/** Play that a bolt may have before anything is known of it, one sigma in turns (common practice). */
const usualPlayTurns = 0.25;
/** How well a hand counts a turn: one sigma in turns. */
const countingTurns = 0.02;

/**
 * Degrees per turn and backlash from turns made one after the other: a turn that reverses the last one first takes up the play,
 * shift = k turns - sign(turns) k play. Where nobody knows on which side the play is before the first turn, half of it is
 * taken as lost, give or take as much. Throws RangeError without any turn.
 */
export function fitKnob(made: readonly KnobTurn[]): Knob {
  if (made.length === 0 || made.every(({ turns }) => turns === 0)) throw new RangeError('knob: no turn was made');
  const moved = made.filter(({ turns }) => turns !== 0);
  const largest = moved.reduce((best, next) => (Math.abs(next.turns) > Math.abs(best.turns) ? next : best));
  const roughRadPerTurn = largest.shiftRad / largest.turns;
  const waysBefore = moved.map(({ wayBefore }, i) => wayBefore ?? (i > 0 ? Math.sign(moved[i - 1].turns) : undefined));
  const lost = moved.map(({ turns }, i) => {
    const way = Math.sign(turns);
    if (waysBefore[i] === undefined) return 0.5 * way;
    return way === waysBefore[i] ? 0 : way;
  });
  const model: MeasurementModel = {
    unknowns: 2,
    residuals: moved.length,
    evaluate([radPerTurn, play], residual, jacobian) {
      moved.forEach(({ turns, shiftRad, sigmaShiftRad }, i) => {
        const unsure = waysBefore[i] === undefined ? usualPlayTurns / 2 : 0;
        const sigma = Math.hypot(sigmaShiftRad, roughRadPerTurn * Math.hypot(countingTurns, unsure));
        residual[i] = (shiftRad - radPerTurn * (turns - lost[i] * play)) / sigma;
        jacobian[2 * i] = -(turns - lost[i] * play) / sigma;
        jacobian[2 * i + 1] = (radPerTurn * lost[i]) / sigma;
      });
    },
  };
  const fit = adjust(model, [roughRadPerTurn, 0], {
    prior: { mean: [0, usualPlayTurns / 2], sigma: [Infinity, usualPlayTurns] },
  });
  return {
    radPerTurn: fit.estimate[0],
    sigmaRadPerTurn: sigmaOf(fit, 0),
    backlashTurns: Math.max(fit.estimate[1], 0),
    sigmaBacklashTurns: sigmaOf(fit, 1),
    lastWay: moved[moved.length - 1].turns > 0 ? 1 : -1,
  };
}

/** Turns that take an error away, the play included when they reverse the last way of turning. */
export function turnsToCorrect(knob: Knob, errorRad: number): number {
  const turns = -errorRad / knob.radPerTurn;
  if (turns === 0) return 0;
  const way = Math.sign(turns);
  return way === knob.lastWay ? turns : turns + way * knob.backlashTurns;
}
