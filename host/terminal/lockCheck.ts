import { degree } from '../../calibration/angle.ts';
import type { LockShift } from '../../calibration/lock.ts';
import { Failure } from '../failure.ts';
import { isAtRest, type LiveSession, type Needles } from '../live/session.ts';
import { LockStep, lockWords } from '../steps/lockStep.ts';
import { readingWords, type Axis } from '../words/reading.ts';
import { texts } from './words.ts';

const stands = (axis: Axis, errorRad: number, sigmaRad: number): string =>
  `${axis} ${readingWords(axis, errorRad / degree, sigmaRad / degree, Math.abs(errorRad) < degree ? '′' : '°')}`;

const standing = (when: string, n: Needles): string =>
  `${when}: ${stands('altitude', n.altitudeErrorRad, n.sigmaAltitudeErrorRad)}, ${stands('azimuth', n.azimuthErrorRad, n.sigmaAzimuthErrorRad)}.`;

/** What the answer of the night does with a locking. */
export interface LockFollower {
  lockBegins(): void;
  locked(shift: LockShift, words: string): void;
  /** Given up after the bolts were touched. */
  lockLeft(): void;
}

const nobody: LockFollower = { lockBegins: () => {}, locked: () => {}, lockLeft: () => {} };

/** What tightening the bolts does, by one key: a rest, the bolts are tightened, a rest again. */
export class LockCheck {
  /** What to do next, or what came of it; empty when nothing was begun. */
  words = '';
  private readonly session: LiveSession;
  private step: LockStep | undefined;
  private before: Needles | undefined;
  /** Why the key that ends it did not: it was too early. */
  private tooEarly = '';
  private endFeeding = (): void => {};
  private readonly follower: LockFollower;

  constructor(session: LiveSession, follower = nobody) {
    this.session = session;
    this.follower = follower;
  }

  get isUnderWay(): boolean {
    return this.step !== undefined;
  }

  /** Begins, or ends once the bolts are tight. */
  press(): void {
    if (!this.step) this.begin();
    else if (this.before && !this.session.virtual?.hands.busy()) this.finish(this.step, this.before);
  }

  leave(): void {
    if (this.before) this.follower.lockLeft();
    this.end();
  }

  private end(): void {
    this.endFeeding();
    this.step = undefined;
    this.before = undefined;
    this.tooEarly = '';
    this.words = '';
  }

  /** Says what to do now, and keeps the rest before locking as soon as it is long enough. */
  look(): void {
    const { step, session } = this;
    if (!step) return;
    const { restCounts, instruction } = step.progress();
    if (this.before) {
      if (session.virtual?.hands.busy()) this.words = texts.virtualHands(session.virtual?.hands.words());
      else if (restCounts) this.words = texts.areTheyTight;
      else this.words = this.tooEarly || texts.thenPress(instruction);
      return;
    }
    this.words = texts.keepAxis(instruction);
    const needles = session.latest();
    if (!restCounts || !needles || !isAtRest(needles)) return;
    step.locking();
    this.before = needles;
    this.follower.lockBegins();
    // on a virtual mount nobody else can
    session.virtual?.hands.lock('azimuth');
    session.virtual?.hands.lock('altitude');
  }

  private begin(): void {
    const model = this.session.axisModel();
    if (!model) {
      this.words = texts.waitForNeedles;
      return;
    }
    const step = new LockStep(model, (this.session.site?.latitudeRad ?? 1) < 0 ? 'south' : 'north');
    this.endFeeding = this.session.onSample((sample) => step.offer(sample));
    this.step = step;
    this.look();
  }

  private finish(step: LockStep, before: Needles): void {
    try {
      const shift = step.finish();
      const after = this.session.latest();
      this.end();
      this.follower.locked(shift, lockWords(shift));
      const both = [standing('Before', before), ...(after ? [standing('After', after)] : [])];
      this.words = [lockWords(shift), ...both].join(' ');
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      this.tooEarly = texts.tooEarly(error.message, error.whatToDo);
      this.words = this.tooEarly;
    }
  }
}
