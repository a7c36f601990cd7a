import { fitKnob, type KnobTurn } from '../../calibration/knob.ts';
import { arcminute, degree } from '../../calibration/angle.ts';
import type { LiveSession, Needles } from '../live/session.ts';
import type { Axis } from '../words/reading.ts';
import { turnsPerPress } from './arrows.ts';

/** What a needle at rest leaves of a difference of two readings, one sigma. */
const sigmaShiftRad = 1 * arcminute;
const leastSigmas = 3;

const errorOf = (axis: Axis, needles: Needles): number =>
  axis === 'altitude' ? needles.altitudeErrorRad : needles.azimuthErrorRad;

/** Learns from one whole turn of a bolt, made by hand, how far a turn goes; from then on instructions are told in turns. */
export class KnobCount {
  /** What to do next, or what came of it; empty when nothing was begun. */
  words = '';
  private readonly session: LiveSession;
  private readonly turns: Record<Axis, KnobTurn[]> = { altitude: [], azimuth: [] };
  private before: Needles | undefined;
  /** What was asked for while the needles were not still. */
  private waiting: (() => void) | undefined;

  constructor(session: LiveSession) {
    this.session = session;
  }

  get isUnderWay(): boolean {
    return this.before !== undefined || this.waiting !== undefined;
  }

  begin(): void {
    this.whenStill((needles) => {
      this.before = needles;
      const how = this.session.turnBolt ? ` (${Math.round(1 / turnsPerPress)} presses of one arrow)` : '';
      this.words = `Turn one bolt one whole turn${how}, let it rest, then press a (altitude) or z (azimuth). Esc leaves.`;
    });
  }

  turned(axis: Axis): void {
    const { before } = this;
    if (!before) this.words = 'Press k first, then turn the bolt.';
    else this.whenStill((after) => this.measure(axis, before, after));
  }

  leave(): void {
    this.before = undefined;
    this.waiting = undefined;
    this.words = '';
  }

  /** Goes on with what waits, once the needles are still. */
  look(): void {
    this.waiting?.();
  }

  private whenStill(then: (needles: Needles) => void): void {
    this.waiting = () => {
      const needles = this.session.latest();
      if (needles?.state !== 'still') return;
      this.waiting = undefined;
      then(needles);
    };
    this.words = 'Hands off: it goes on by itself once the needles are still. Esc leaves.';
    this.waiting();
  }

  private measure(axis: Axis, before: Needles, after: Needles): void {
    this.before = undefined;
    if (!this.session.knobs) return;
    const shiftRad = errorOf(axis, after) - errorOf(axis, before);
    if (Math.abs(shiftRad) < leastSigmas * sigmaShiftRad) {
      this.words = `The ${axis} needle did not move: was it the other bolt, or still locked? Press k to try again.`;
      return;
    }
    this.turns[axis].push({ turns: 1, shiftRad, sigmaShiftRad });
    const knob = fitKnob(this.turns[axis]);
    this.session.knobs[axis] = knob;
    const [size, band] = [knob.radPerTurn, 2 * knob.sigmaRadPerTurn].map((value) =>
      Math.abs(value / degree).toFixed(2),
    );
    this.words = `One turn in ${axis} is ${size}°, give or take ${band}°.`;
  }
}
