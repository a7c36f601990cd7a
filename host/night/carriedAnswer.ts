import type { Answer } from '../../calibration/answer.ts';
import { degree } from '../../calibration/angle.ts';
import type { AxisModel } from '../../calibration/axisModel.ts';
import type { AxisErrors } from '../../calibration/drift/driftModel.ts';
import type { SeenShift } from '../../calibration/nudge/habit.ts';
import type { Anchor } from '../../calibration/live/estimator.ts';
import { Failure } from '../failure.ts';
import type { LiveSession, Needles } from '../live/session.ts';
import { utcOf } from '../live/eyepiece.ts';
import type { NudgeEntry } from './nightEntry.ts';
import { shiftFields } from './nightEstimates.ts';
import { NightLog } from './nightLog.ts';
import { ageWords } from './nightReport.ts';
import { texts } from './words.ts';

/** A needle that has rested this long is quiet enough to start from; until `quietS` its mean still grows better. */
const restS = 2;
const quietS = 20;
const everyS = 1;
/** After a key that turns a virtual bolt, a rest of this length ends the nudge. */
const endsAfterS = 4;
/** More than needles at rest, or the turn of the axis to another star, can feign: the bolts were turned and nobody said so. */
const unsaidSigmas = 4;
const leastUnsaidAltitudeRad = 0.1 * degree;
const leastUnsaidAzimuthRad = 0.4 * degree;
/** Further than this no bolt goes between two rests: the board was taken off its clip. */
const mostUnsaidRad = 10 * degree;

/**
 * The answer of the night on the live needles: they take it as their zero and carry it on while the bolts turn; each nudge
 * goes into the log with what the needles showed before and after.
 */
export class CarriedAnswer {
  readonly log: NightLog;
  private readonly session: LiveSession;
  private readonly stop: () => void;
  private model: AxisModel | undefined;
  private restsSinceS: number | undefined;
  /** The needles at their last rest. */
  private rested: Needles | undefined;
  /** The needles before the bolts were touched. */
  private before: Needles | undefined;
  /** The last needle of the old zero; until the next one comes, the session shows it still. */
  private outdated: Needles | undefined;
  private beginsAtNext = false;
  private endsByItself = false;
  private isAnchored = false;
  private wantsAnchor = false;
  private anchoredAtS = -Infinity;
  /** When the needles were last read at the end of a nudge. */
  private nudgedAtS: number | undefined;
  private readonly listeners: ((before: AxisErrors, after: AxisErrors) => void)[] = [];

  constructor(session: LiveSession, log: NightLog) {
    this.session = session;
    this.log = log;
    this.stop = session.onNeedles((needles) => this.follow(needles));
  }

  close(): void {
    this.stop();
  }

  /** Everything measured so far; undefined before the first measurement. */
  answer(): Answer | undefined {
    const { site } = this.session;
    return site && this.log.answer(site.latitudeRad);
  }

  /** The needles rest on the sky and not on the compass alone. */
  get isCarrying(): boolean {
    return this.isAnchored;
  }

  /** What was measured last is not on the needles yet: they have not rested since. */
  get isRenewing(): boolean {
    return this.wantsAnchor && this.anchoredAtS === -Infinity;
  }

  /** Kinds of measurement that the needles carry on; empty while they go by the compass alone. */
  kinds(): string[] {
    return this.isAnchored ? this.log.estimates().map(({ kind }) => kind) : [];
  }

  /** What the needles rest on, for a line of notes; empty while it is the compass alone. */
  words(): string {
    const parts = this.isAnchored ? (this.answer()?.parts ?? []) : [];
    return parts.length === 0
      ? ''
      : texts.continueFrom(parts.map(({ kind, ageS }) => `${kind} (${ageWords(ageS)} ago)`).join(', '));
  }

  get isNudging(): boolean {
    return this.before !== undefined || this.beginsAtNext;
  }

  /** Called with the needles before and after each nudge. */
  onNudged(listener: (before: AxisErrors, after: AxisErrors) => void): void {
    this.listeners.push(listener);
  }

  /** What was measured has changed: the needles take it over as soon as they rest. */
  renew(): void {
    this.wantsAnchor = true;
    this.anchoredAtS = -Infinity;
  }

  /** The needles go by the compass again. */
  release(): void {
    this.wantsAnchor = false;
    this.isAnchored = false;
    this.rested = undefined;
    this.session.anchorTo(undefined);
  }

  /** What was measured so far counts no more, for the reason in `words`; it stays in the log. */
  async giveUp(words: string): Promise<void> {
    this.forgetNudge();
    this.release();
    if (this.log.estimates().length > 0) await this.log.note(words, { replacesEarlier: true });
  }

  /** The bolts are going to be turned. With `endsByItself` the next rest ends the nudge. */
  nudgeBegins(endsByItself = false): void {
    const shown = this.rested ?? this.session.latest();
    this.beginsAtNext = shown !== undefined && shown === this.outdated;
    if (!this.beginsAtNext) this.before ??= shown;
    this.endsByItself = endsByItself;
    this.restsSinceS = undefined;
  }

  /** The bolts are left alone and the needles rest, as `after` shows. */
  async nudgeEnds(after: Needles): Promise<void> {
    const { before } = this;
    this.forgetNudge();
    this.rested = after;
    if (before) await this.nudged(before, after);
  }

  /** A shift of the axis was measured by itself, with a covariance of its own: of the bolts on a star, of their locking, of a load. */
  async shifted(shift: SeenShift, by: NonNullable<NudgeEntry['by']>, words: string, goesOn = false): Promise<void> {
    this.forgetNudge();
    this.rested = undefined;
    this.nudgedAtS = undefined;
    await this.moved(
      { altitudeErrorRad: 0, azimuthErrorRad: 0 },
      { altitudeErrorRad: shift.altitudeShiftRad, azimuthErrorRad: shift.azimuthShiftRad },
      { by, words, ...shiftFields(shift.covariance), ...(goesOn && { goesOn }) },
    );
  }

  private forgetNudge(): void {
    this.before = undefined;
    this.beginsAtNext = false;
  }

  private nudged(before: Needles, after: Needles, words?: string): Promise<void> {
    const { nudgedAtS } = this;
    this.nudgedAtS = after.arrivalS;
    if (!this.log.hasBegun) return Promise.resolve();
    return this.moved(before, after, {
      ...(nudgedAtS !== undefined && { restedS: Math.max(before.arrivalS - nudgedAtS, 0) }),
      ...(words !== undefined && { words }),
    });
  }

  private async moved(before: AxisErrors, after: AxisErrors, more: Parameters<NightLog['moved']>[2]): Promise<void> {
    const saved = this.log.moved(before, after, more);
    this.renew();
    for (const listener of this.listeners) listener(before, after);
    await saved;
  }

  private follow(needles: Needles): void {
    const model = this.session.axisModel();
    if (model !== this.model) this.meet(model);
    if (this.beginsAtNext) {
      this.beginsAtNext = false;
      this.before = needles;
    }
    if (needles.state !== 'still' || needles.isOffClip) {
      this.restsSinceS = undefined;
      // whatever moved may have been the bolts: only a new measurement sets the needles anew
      if (this.anchoredAtS > -Infinity) this.wantsAnchor = false;
      return;
    }
    this.restsSinceS ??= needles.arrivalS;
    const restedS = needles.arrivalS - this.restsSinceS;
    if (this.isNudging) {
      if (this.endsByItself && restedS > endsAfterS) this.withoutWaiting(this.nudgeEnds(needles));
    } else if (restedS > restS) this.rest(needles, restedS);
  }

  private rest(needles: Needles, restedS: number): void {
    const { rested } = this;
    this.rested = needles;
    if (rested && this.wasTurnedUnsaid(rested, needles)) {
      this.withoutWaiting(this.nudged(rested, needles, texts.boltsWereTurned));
    } else if (this.wantsAnchor && needles.arrivalS - this.anchoredAtS > everyS) {
      this.anchor(needles);
      if (restedS > quietS) this.wantsAnchor = false;
    }
  }

  /** Another swing, or another board: what its needles show has nothing to do with what was shown before. */
  private meet(model: AxisModel | undefined): void {
    this.model = model;
    this.rested = undefined;
    this.forgetNudge();
    this.nudgedAtS = undefined;
    this.isAnchored = false;
    if (this.log.hasBegun) this.renew();
  }

  private wasTurnedUnsaid(rested: Needles, needles: Needles): boolean {
    if (!this.model || !this.log.hasBegun) return false;
    const { sigmaAltitudeRad, sigmaMagneticAzimuthRad } = this.model;
    const altitudeRad = Math.abs(needles.altitudeErrorRad - rested.altitudeErrorRad);
    const azimuthRad = Math.abs(needles.azimuthErrorRad - rested.azimuthErrorRad);
    if (Math.max(altitudeRad, azimuthRad) > mostUnsaidRad) return false;
    return (
      altitudeRad > Math.max(unsaidSigmas * sigmaAltitudeRad, leastUnsaidAltitudeRad) ||
      azimuthRad > Math.max(unsaidSigmas * sigmaMagneticAzimuthRad, leastUnsaidAzimuthRad)
    );
  }

  private anchor(needles: Needles): void {
    this.anchoredAtS = needles.arrivalS;
    const known = this.known();
    if (!known) return;
    this.session.anchorTo(known);
    this.isAnchored = true;
    // the next needle starts from the answer; until it comes there is nothing to compare with
    this.rested = undefined;
    this.outdated = needles;
  }

  /** The answer as far as it rests on the sky; undefined while the compass alone was read. */
  known(): Anchor | undefined {
    const answer = this.answer();
    if (!answer?.parts.some(({ kind }) => kind !== 'compass')) return undefined;
    const { altitudeErrorRad, azimuthErrorRad, axisCovariance } = answer;
    return {
      altitudeErrorRad,
      azimuthErrorRad,
      sigmaAltitudeErrorRad: Math.sqrt(axisCovariance[0]),
      sigmaAzimuthErrorRad: Math.sqrt(axisCovariance[3]),
    };
  }

  /** A log that cannot be written is told where a person acts; here the needles must go on. */
  private withoutWaiting(saving: Promise<void>): void {
    saving.catch(() => {});
  }
}

/** With a log of its own; that of a virtual mount lasts as long as the program. */
export const carriedBy = (session: LiveSession, isKept = session.virtual === undefined): CarriedAnswer =>
  new CarriedAnswer(session, new NightLog({ isKept, now: () => utcOf(session) }));

/** As `carriedBy`, going on with what was measured this night before the program was started. */
export async function carryOn(session: LiveSession, tell: (words: string) => void): Promise<CarriedAnswer> {
  const carried = carriedBy(session);
  try {
    for (const caution of await carried.log.load()) tell(caution);
    carried.renew();
    return carried;
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    carried.close();
    tell(texts.logNotUsed(error.message, error.whatToDo));
    return carriedBy(session, false);
  }
}
