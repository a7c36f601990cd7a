import { Failure } from '../failure.ts';
import { isAtRest, type LiveSession, type Needles } from '../live/session.ts';
import { CountedTurns, countedWords, type Bolts } from '../live/boltTurns.ts';
import { cautions } from '../words/cautions.ts';
import type { Axis } from '../words/reading.ts';
import { turnsPerPress } from './arrows.ts';
import { texts } from './words.ts';

/** Learns from one whole turn of a bolt, made by hand, how far a turn goes; from then on instructions are told in turns. */
export class KnobCount {
  /** What to do next, or what came of it; empty when nothing was begun. */
  words = '';
  private readonly session: LiveSession;
  private readonly turns = new CountedTurns();
  private before: { needles: Needles; bolts: Bolts } | undefined;
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
      const { altitude, azimuth } = this.session.knobs ?? {};
      this.before = { needles, bolts: { altitude, azimuth } };
      const how = this.session.virtual?.turnBolt ? ` (${Math.round(1 / turnsPerPress)} presses of one arrow)` : '';
      this.words = texts.turnBolt(cautions.fingers, how);
    });
  }

  turned(axis: Axis): void {
    const { before } = this;
    if (!before) this.words = texts.pressFirst;
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
      if (!needles || !isAtRest(needles)) return;
      this.waiting = undefined;
      then(needles);
    };
    this.words = texts.handsOff;
    this.waiting();
  }

  private measure(axis: Axis, before: NonNullable<KnobCount['before']>, after: Needles): void {
    this.before = undefined;
    const { knobs } = this.session;
    if (!knobs) return;
    try {
      const knob = this.turns.add(axis, 1, before.needles, after, before.bolts);
      knobs[axis] = knob;
      this.words = countedWords(axis, knob);
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      this.words = texts.again(error.message, error.whatToDo);
    }
  }
}
