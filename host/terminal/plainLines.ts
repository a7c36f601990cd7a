import { degree } from '../../calibration/angle.ts';
import type { Practice } from '../live/practice.ts';
import type { LiveSession } from '../live/session.ts';
import { printResult, say } from '../output.ts';
import { boltTurn } from '../live/boltTurns.ts';
import { fullReading, readingUnit } from '../words/reading.ts';
import { sayNotes } from './sayNotes.ts';
import { instructionWords } from '../words/instruction.ts';
import { azimuthUntrusted } from '../words/iron.ts';
import { offClipWords } from '../words/offClip.ts';

const everyMs = 1000;

/** The needles in words, a line a second, where stdout is not a terminal. */
export class PlainLines {
  private readonly session: LiveSession;
  private readonly practice: Practice;
  private readonly timer: NodeJS.Timeout;
  private readonly stopLink: () => void;
  private readonly stopNotes: () => void;

  constructor(session: LiveSession, practice: Practice) {
    this.session = session;
    this.practice = practice;
    this.stopNotes = sayNotes(session);
    this.stopLink = session.onLink(({ words }) => say(words));
    this.timer = setInterval(() => this.print(), everyMs);
  }

  close(): void {
    clearInterval(this.timer);
    this.stopLink();
    this.stopNotes();
  }

  private print(): void {
    const needles = this.session.latest();
    if (!needles) return;
    const time = new Date(needles.utcMs).toISOString().slice(11, 19);
    if (needles.state === 'stale') {
      const ageS = performance.now() / 1000 - needles.arrivalS;
      printResult(`${time}Z  stale: nothing from the board for ${Math.floor(ageS)} s`);
      return;
    }
    if (needles.isOffClip) {
      printResult(`${time}Z  off its clip: ${offClipWords}`);
      return;
    }
    const words = (['azimuth', 'altitude'] as const).map((axis) => {
      const isAzimuth = axis === 'azimuth';
      const { shown } = needles;
      const errorDeg = (isAzimuth ? shown.azimuthErrorRad : shown.altitudeErrorRad) / degree;
      const sigmaDeg = (isAzimuth ? shown.sigmaAzimuthErrorRad : shown.sigmaAltitudeErrorRad) / degree;
      const unit = readingUnit(errorDeg, sigmaDeg);
      const toDo =
        isAzimuth && needles.state === 'disturbed'
          ? azimuthUntrusted
          : instructionWords(axis, errorDeg, sigmaDeg, boltTurn(this.session.knobs?.[axis]));
      return `${axis} ${fullReading(axis, errorDeg, sigmaDeg, unit)}. ${toDo}`;
    });
    const state = this.practice.isTurning() ? `moving (${this.practice.words()})` : needles.state;
    printResult(`${time}Z  ${state}  ${words.join('  ')}`);
  }
}
