import { fitKnob, type KnobTurn } from '../../calibration/knob.ts';
import { arcminute, degree } from '../../calibration/angle.ts';
import type { LiveSession, Needles } from '../live/session.ts';
import type { Axis } from '../words/reading.ts';

/** What a needle at rest leaves of a difference of two readings, one sigma. */
const sigmaShiftRad = 1 * arcminute;
const leastSigmas = 3;

const errorOf = (axis: Axis, needles: Needles): number =>
  axis === 'altitude' ? needles.altitudeErrorRad : needles.azimuthErrorRad;

/** Learns from one whole turn of a bolt, made by hand, how far a turn goes; from then on instructions are told in turns. */
export class KnobCount {
  /** What to do next, or what came of it; empty when nothing is under way. */
  words = '';
  private readonly session: LiveSession;
  private readonly turns: Record<Axis, KnobTurn[]> = { altitude: [], azimuth: [] };
  private before: Needles | undefined;

  constructor(session: LiveSession) {
    this.session = session;
  }

  begin(): void {
    const needles = this.session.latest();
    if (needles?.state !== 'still') {
      this.words = 'Wait until the needles are still, then press k again.';
      return;
    }
    this.before = needles;
    this.words = 'Turn one bolt one whole turn, let it rest, then press a (altitude) or z (azimuth).';
  }

  turned(axis: Axis): void {
    const after = this.session.latest();
    if (!this.before || !this.session.knobs) return;
    if (after?.state !== 'still') {
      this.words = `Wait until the needles are still, then press ${axis === 'altitude' ? 'a' : 'z'} again.`;
      return;
    }
    const shiftRad = errorOf(axis, after) - errorOf(axis, this.before);
    this.before = undefined;
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
