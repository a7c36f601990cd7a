import type { AxisEstimate } from '../../../calibration/answer.ts';
import type { Knob } from '../../../calibration/knob.ts';
import type { FieldPlace } from '../../../calibration/nudge/starAfter.ts';
import type { TumbleCalibration } from '../../../calibration/tumble/types.ts';
import type { Hands } from '../../../firmware-proto/virtual/hands.ts';
import { exitCode, Failure } from '../../failure.ts';
import { utcOf } from '../../live/eyepiece.ts';
import { isAtRest, type LiveSession, type Needles } from '../../live/session.ts';
import { isSamePlace } from '../../store/deviation.ts';
import type { Site } from '../../site/site.ts';
import { carriedBy, type CarriedAnswer } from '../../night/carriedAnswer.ts';
import type { ComingStep } from '../../night/comingStep.ts';
import type { EntryMore } from '../../night/nightEntry.ts';
import { noStarWords, starlight } from '../../sky/starlight.ts';
import type { Star } from '../../sky/stars.ts';
import type { NudgeEye } from '../../steps/starNudge.ts';
import { findCalibration } from '../../store/profile.ts';
import type { Axis } from '../../words/reading.ts';
import { texts } from './words/shared.ts';

type Hello = NonNullable<ReturnType<NonNullable<LiveSession['hello']>>>;

/** A star that a nudge was read on, still in the eyepiece. */
export interface StarHeld {
  star: Star;
  eye: NudgeEye;
  /** Where it stands in the field. */
  place: FieldPlace;
  needles?: Needles;
}

/** For so long the drive keeps a star in the field. */
const heldMs = 20 * 60_000;
const restS = 1.5;
const restLimitMs = 20_000;
const sunEveryMs = 30_000;

/** What the steps of one night share. */
export class Night {
  readonly session: LiveSession;
  /** Tonight's tumble. */
  calibration: TumbleCalibration | undefined;
  readonly carried: CarriedAnswer;
  readonly coming: (Pick<ComingStep, 'title' | 'reason'> & Partial<Pick<ComingStep, 'step' | 'standOff'>>) | undefined;
  /** Distance from the pole that tonight's plan allows, once it was asked. */
  allowedRad: number | undefined;
  /** Typed or traced tonight. */
  horizon: Site['horizon'];
  /** Title of the step that is gathering samples: the board can be in one place only. */
  underWay = '';
  private readonly unkeptKnobs: Partial<Record<Axis, Knob>> = {};
  private sun: { words: string[]; atMs: number; forSite?: Site } = { words: [], atMs: -Infinity };
  private held: { star: StarHeld; entries: number; atMs: number } | undefined;
  private readonly moved: (() => void | Promise<void>)[] = [];

  constructor(session: LiveSession, carried = carriedBy(session), coming?: Night['coming']) {
    this.session = session;
    this.carried = carried;
    this.coming = coming;
  }

  get knobs(): Partial<Record<Axis, Knob>> {
    return this.session.knobs ?? this.unkeptKnobs;
  }

  /** Called when the site has changed, in the order of the steps: each works out anew, or drops, what rests on the old one. */
  onMoved(listener: () => void | Promise<void>): void {
    this.moved.push(listener);
  }

  /**
   * From now on all is held against this site, where the session can move at all. True where that is another place: what was
   * measured against the old one's pole then counts no more.
   */
  async moveTo(site: Site): Promise<boolean> {
    const before = this.session.site;
    if (!this.session.moveTo) return false;
    await this.session.moveTo(site);
    this.horizon = undefined;
    if (before && isSamePlace(before, site)) return false;
    const works = [() => this.carried.giveUp(texts.siteChanged), ...this.moved];
    // one that cannot be kept on disk must not stop the others
    const faults: unknown[] = [];
    for (const work of works) {
      try {
        await work();
      } catch (fault) {
        faults.push(fault);
      }
    }
    if (faults.length > 0) throw faults[0];
    return true;
  }

  /** The clock that goes with the sky. */
  now(): Date {
    return utcOf(this.session);
  }

  /** The nudge is over, and its star stays in the eyepiece for what comes next. */
  holdStar(star: StarHeld): void {
    this.held = { star, entries: this.carried.log.entries.length, atMs: this.now().getTime() };
  }

  /** The star of the last nudge, as long as nothing else was done since. */
  starHeld(): StarHeld | undefined {
    const { held } = this;
    const isOver =
      held === undefined ||
      held.entries !== this.carried.log.entries.length ||
      this.now().getTime() - held.atMs > heldMs;
    return isOver ? undefined : held.star;
  }

  /** Why no star, or only bright ones, may be taken now; looked at anew every half minute, since it is asked many times a second. */
  sunWords(): string[] {
    const { site } = this.session;
    if (!site) return [];
    const now = this.now();
    const { words, atMs, forSite } = this.sun;
    if (forSite === site && Math.abs(now.getTime() - atMs) < sunEveryMs) return words;
    const light = starlight(site, now);
    const fresh = light.reason === '' ? [] : [noStarWords(light)];
    this.sun = { words: fresh, atMs: now.getTime(), forSite: site };
    return fresh;
  }

  get hands(): Hands {
    const hands = this.session.virtual?.hands;
    if (!hands) throw new Failure(exitCode.usage, 'Only a virtual mount has virtual hands.', 'Use your own hands.');
    return hands;
  }

  get site(): Site {
    const { site } = this.session;
    if (!site) throw new Failure(exitCode.usage, 'The site is not known.', 'Give it in the first step.');
    return this.horizon ? { ...site, horizon: this.horizon } : site;
  }

  get hello(): Hello {
    const hello = this.session.hello();
    if (!hello)
      throw new Failure(exitCode.noBoard, 'The board has not identified itself yet.', 'Wait until it answers.');
    return hello;
  }

  /** Keeps what was measured on the sky; from now on the needles carry the answer on. */
  async believe(measured: Omit<AxisEstimate, 'utcMs'>, more?: EntryMore): Promise<void> {
    const saved = this.carried.log.keep(measured, more);
    this.carried.renew();
    await saved;
  }

  /** What the compass says goes into the log as long as nothing better is in it. */
  async noteCompass(shown: Needles): Promise<void> {
    const { log } = this.carried;
    if (log.estimates().some(({ kind }) => kind !== 'compass')) return;
    await log.keep(this.compassOf(shown));
  }

  /** The needles at rest, while they go by the compass, as a measurement. */
  compassOf({
    altitudeErrorRad,
    azimuthErrorRad,
    sigmaAltitudeErrorRad,
    sigmaAzimuthErrorRad,
  }: Needles): Omit<AxisEstimate, 'utcMs'> {
    return {
      kind: 'compass',
      altitudeErrorRad,
      azimuthErrorRad,
      axisCovariance: [sigmaAltitudeErrorRad ** 2, 0, 0, sigmaAzimuthErrorRad ** 2],
    };
  }

  /** Lets `work` turn the bolts by needles that carry all that is known; those before and after go into the log. */
  async nudging(work: () => Promise<void>): Promise<void> {
    const limitMs = performance.now() + restLimitMs;
    while (this.carried.isRenewing && performance.now() < limitMs) await new Promise((done) => setTimeout(done, 100));
    this.carried.nudgeBegins();
    try {
      await work();
    } finally {
      await this.carried.nudgeEnds(await this.atRest());
    }
  }

  /** The needles once they have rested for a second and a half. Throws Failure when they do not. */
  atRest(): Promise<Needles> {
    const { session } = this;
    return new Promise((resolve, reject) => {
      let sinceS: number | undefined;
      const end = (): void => {
        clearTimeout(timer);
        stop();
      };
      const stop = session.onNeedles((needles) => {
        sinceS = isAtRest(needles) ? (sinceS ?? needles.arrivalS) : undefined;
        if (sinceS === undefined || needles.arrivalS - sinceS < restS) return;
        end();
        resolve(needles);
      });
      const timer = setTimeout(() => {
        end();
        reject(new Failure(exitCode.badData, 'The needles did not come to rest.', 'Take your hands off the mount.'));
      }, restLimitMs);
    });
  }

  /** Tonight's calibration, else the rehearsed or kept one of this board. Throws Failure when there is none. */
  async calibrationToUse(): Promise<TumbleCalibration> {
    const known = this.calibration ?? this.session.virtual?.calibration;
    if (known) return known;
    const kept = await findCalibration(this.hello, this.session.latest()?.temperatureC);
    if ('calibration' in kept) return kept.calibration;
    throw new Failure(exitCode.usage, kept.reason, 'Do the tumble first, then this step.');
  }
}
