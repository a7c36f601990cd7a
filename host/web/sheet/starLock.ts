import { arcminute } from '../../../calibration/angle.ts';
import type { AxisErrors } from '../../../calibration/drift/driftModel.ts';
import type { SeenShift } from '../../../calibration/nudge/habit.ts';
import type { FieldPlace } from '../../../calibration/nudge/starAfter.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { Needles } from '../../live/session.ts';
import { requireStar } from '../../sky/stars.ts';
import { nudgeStars, planStarNudge, type NudgePlan } from '../../steps/starNudge.ts';
import { clockWords, placeWords } from '../../steps/starNudgeWords.ts';
import { rounded } from '../../words/figures.ts';
import type { Action, Drawing, StepView } from '../messages.ts';
import { cancelAction } from './gatheringSheet.ts';
import type { Night } from './nightAtPage.ts';
import { centreByHands, eyeTyped, placeFrom, placeTyped, seenInEyepiece, shiftOnStar } from './starAtEyepiece.ts';
import { readFields, setFields } from './starNudgeView.ts';
import { texts } from './words/starLock.ts';

const centre: FieldPlace = { northRad: 0, eastRad: 0 };
const blind = { altitudeErrorRad: 0, azimuthErrorRad: 0, axisCovariance: [0, 0, 0, 0] } as const;

/** What a locking did, read on a star. */
interface LockedOnStar {
  shift: SeenShift;
  before: AxisErrors;
  /** On which star. */
  readOn: string;
  /** It begins with the reading that the nudge before ended with. */
  goesOn: boolean;
}

/** The star in the eyepiece while the bolts are tightened: centred before, or left by a nudge where it stands, and read after. */
export class StarLock {
  private readonly night: Night;
  private typed: Record<string, string> = {};
  private isChosen = false;
  isByHands = false;
  private watched: { plan: NudgePlan; start: FieldPlace; needles?: Needles; goesOn: boolean } | undefined;

  constructor(night: Night) {
    this.night = night;
  }

  get isUnderWay(): boolean {
    return this.isChosen || this.watched !== undefined;
  }

  /** Buttons of the step while nothing is under way; the star of the nudge is the first to be offered. */
  offers(): { begin: Action; hands: Action[]; isHeld: boolean } {
    const held = this.night.starHeld();
    const on = held ? held.star.name : texts.aStar;
    return {
      isHeld: held !== undefined,
      begin: { name: 'star', label: texts.watchButton(on) },
      hands: this.night.session.virtual
        ? [{ name: 'hands-star', label: texts.handsLockButton(on), byHands: true }]
        : [],
    };
  }

  /** While it is under way: what to do, with the field and the star in it. */
  view(): Pick<StepView, 'figure' | 'toDo' | 'fields' | 'actions'> & { drawing?: Drawing } {
    const mirrored = /^m/i.test(this.typed.picture ?? '');
    const cancel = { ...cancelAction };
    const hands = this.night.session.virtual?.hands;
    if (!this.watched)
      return {
        figure: texts.figure,
        toDo: [texts.centreFirst, texts.orEmpty, clockWords(mirrored)],
        fields: setFields({ typed: this.typed }),
        actions: [
          { name: 'centred', label: texts.centredButton, isMain: hands ? undefined : true },
          ...(hands ? [{ name: 'hands-centre', label: texts.handsCentreButton, byHands: true }] : []),
          cancel,
        ],
      };
    const { plan, start } = this.watched;
    const { star, eye } = plan;
    const isLoose = hands?.haveLocked() === false;
    const stands = start === centre ? texts.inCentre : texts.asNudged(placeWords(start, eye.fieldRad, { mirrored }));
    return {
      figure: star.name,
      toDo: [texts.tighten, texts.typeWhere(star.name, stands), clockWords(mirrored)],
      fields: readFields(texts.northHint, texts.eastHint),
      actions: [
        { name: 'tight', label: texts.tightButton, isMain: isLoose ? undefined : true },
        ...(isLoose ? [{ name: 'hands-tighten', label: texts.handsTightenButton, byHands: true }] : []),
        cancel,
      ],
      drawing: this.drawing(this.watched, mirrored),
    };
  }

  /** Throws Failure where no star does. */
  async act(action: string, fields: Record<string, string>): Promise<LockedOnStar | undefined> {
    if (action === 'tight') return this.read(placeTyped(fields));
    this.typed = { ...this.typed, ...fields };
    if (action === 'hands-star') return this.byHands(() => this.handsLock());
    if (action === 'hands-centre') return this.byHands(() => this.handsCentre());
    if (action === 'hands-tighten') return this.byHands(() => this.handsTighten());
    if (action === 'centred') await this.begin(this.planOn(this.typed.star?.trim() ?? ''), centre);
    else if (this.night.starHeld()) await this.goOn();
    else this.isChosen = true;
    return undefined;
  }

  async giveUp(): Promise<void> {
    const { carried } = this.night;
    const wasWatched = this.watched !== undefined;
    this.close();
    if (wasWatched && carried.isNudging) await carried.nudgeEnds(await this.night.atRest());
  }

  close(): void {
    this.isChosen = false;
    this.watched = undefined;
  }

  private planOn(typed: string, eye = eyeTyped(this.typed.field)): NudgePlan {
    const { carried, site } = this.night;
    const axis = carried.answer() ?? blind;
    const now = this.night.now();
    const star = typed === '' ? nudgeStars(site, now, axis, eye.fieldRad).at(0)?.star : requireStar(typed);
    if (!star) throw new Failure(exitCode.refused, texts.noStar, texts.byNeedles);
    // nothing is brought home: how far that would lead does not matter
    const plan = planStarNudge(star, site, now, axis, eye, axis);
    const stop = plan.gates.find(({ verdict }) => verdict === 'stop');
    if (stop) throw new Failure(exitCode.refused, texts.notShown(stop.reason), stop.nextAction);
    return plan;
  }

  private async begin(plan: NudgePlan, start: FieldPlace): Promise<void> {
    const needles = this.night.session.latest() ? await this.night.atRest() : undefined;
    this.isChosen = false;
    this.watched = { plan, start, ...(needles && { needles }), goesOn: false };
    this.night.carried.nudgeBegins();
  }

  /** From the last reading of the nudge. */
  private async goOn(): Promise<void> {
    const held = this.night.starHeld();
    if (!held) return;
    const { place, needles, eye } = held;
    this.watched = { plan: this.planOn(held.star.name, eye), start: place, ...(needles && { needles }), goesOn: true };
    this.night.carried.nudgeBegins();
  }

  private async read(place: FieldPlace | undefined): Promise<LockedOnStar | undefined> {
    const { watched } = this;
    if (!watched) return undefined;
    if (!place) throw new Failure(exitCode.usage, texts.placeMissing, texts.typePlace);
    const { plan, start, needles, goesOn } = watched;
    const after = needles && (await this.night.atRest());
    const shift = shiftOnStar(plan, this.night.site.latitudeRad, placeFrom(start, place), needles, after);
    this.close();
    this.night.session.virtual?.eyepiece.stopDrive();
    return { shift, before: needles ?? plan.axis, readOn: texts.readOn(plan.star.name), goesOn };
  }

  private async byHands<T>(work: () => Promise<T>): Promise<T> {
    this.isByHands = true;
    try {
      return await work();
    } finally {
      this.isByHands = false;
    }
  }

  private async handsCentre(): Promise<undefined> {
    const plan = this.planOn(this.typed.star?.trim() ?? '');
    await centreByHands(this.night, plan.star);
    await this.begin(plan, seenInEyepiece(this.night, plan.star, plan.eye.sigmaReadRad) ?? centre);
  }

  private async handsTighten(): Promise<undefined> {
    const { hands } = this.night;
    hands.lock('altitude');
    hands.lock('azimuth');
    hands.rest(1);
    await hands.whenDone();
  }

  private async handsLock(): Promise<LockedOnStar | undefined> {
    if (this.night.starHeld()) await this.goOn();
    else await this.handsCentre();
    const { watched } = this;
    if (!watched) return undefined;
    await this.handsTighten();
    return this.read(seenInEyepiece(this.night, watched.plan.star, watched.plan.eye.sigmaReadRad));
  }

  private drawing({ plan, start }: NonNullable<StarLock['watched']>, mirrored: boolean): Drawing {
    const at = ({ northRad, eastRad }: FieldPlace) => ({
      north: rounded(northRad / arcminute, 2),
      east: rounded(eastRad / arcminute, 2),
    });
    const seen = seenInEyepiece(this.night, plan.star);
    const sigma = rounded(plan.eye.sigmaReadRad / arcminute, 2);
    return {
      kind: 'field',
      radius: rounded(plan.eye.fieldRad / 2 / arcminute, 2),
      mirrored,
      places: [{ label: texts.beforeLocking, ...at(start), sigma }],
      ...(seen && { star: at(seen) }),
    };
  }
}
