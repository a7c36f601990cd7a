import type { AxisErrors } from '../../../calibration/drift/driftModel.ts';
import type { SeenShift } from '../../../calibration/nudge/habit.ts';
import { wayInField, type FieldPlace } from '../../../calibration/nudge/starAfter.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { Needles } from '../../live/session.ts';
import type { Star } from '../../sky/stars.ts';
import type { NudgeEye, NudgePlan } from '../../steps/starNudge.ts';
import { clockWords, placeWords } from '../../steps/starNudgeWords.ts';
import { blindAxis, planStarReading, shiftByStar, withNeedles } from '../../steps/starShift.ts';
import type { Action, Drawing, StepView } from '../messages.ts';
import { fieldDrawing } from './fieldDrawing.ts';
import { cancelAction } from './gatheringSheet.ts';
import type { Night, StarHeld } from './nightAtPage.ts';
import { centreByHands, eyeTyped, isMirrored, placeTyped, seenInEyepiece, starTyped } from './starAtEyepiece.ts';
import { readFields, setFields } from './starNudgeView.ts';
import { texts } from './words/starLock.ts';

const centre: FieldPlace = { northRad: 0, eastRad: 0 };

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
    const mirrored = isMirrored(this.typed.picture);
    const hands = this.night.session.virtual?.hands;
    if (!this.watched)
      return {
        figure: texts.figure,
        toDo: [texts.centreFirst, texts.orEmpty, clockWords(mirrored)],
        fields: setFields({ typed: this.typed }),
        actions: [
          { name: 'centred', label: texts.centredButton, isMain: hands ? undefined : true },
          ...(hands ? [{ name: 'hands-centre', label: texts.handsCentreButton, byHands: true }] : []),
          cancelAction,
        ],
      };
    const { plan, start, goesOn } = this.watched;
    const { star, eye } = plan;
    const place = start === centre ? texts.inCentre : placeWords(start, eye.fieldRad, { mirrored });
    const isLoose = hands?.haveLocked() === false;
    return {
      figure: star.name,
      toDo: [texts.tighten, texts.typeWhere(star.name, goesOn ? texts.asNudged(place) : place), clockWords(mirrored)],
      fields: readFields(texts.northHint, texts.eastHint),
      actions: [
        { name: 'tight', label: texts.tightButton, isMain: isLoose ? undefined : true },
        ...(isLoose ? [{ name: 'hands-tighten', label: texts.handsTightenButton, byHands: true }] : []),
        cancelAction,
      ],
      drawing: fieldDrawing(
        eye,
        mirrored,
        [{ label: texts.beforeLocking, at: start }],
        seenInEyepiece(this.night, star),
      ),
    };
  }

  /** Throws Failure where no star does. */
  async act(action: string, fields: Record<string, string>): Promise<LockedOnStar | undefined> {
    if (action === 'tight') return this.read(placeTyped(fields));
    this.typed = { ...this.typed, ...fields };
    if (action === 'hands-star') return this.byHands(() => this.handsLock());
    if (action === 'hands-centre') return this.byHands(() => this.handsCentre());
    if (action === 'hands-tighten') return this.byHands(() => this.handsTighten());
    const held = this.night.starHeld();
    if (action === 'centred') await this.begin(this.plan(), centre);
    else if (held) this.goOn(held);
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

  private plan(): NudgePlan {
    const eye = eyeTyped(this.typed.field);
    const star = starTyped(this.night, this.typed.star, this.night.carried.answer() ?? blindAxis, eye);
    if (!star) throw new Failure(exitCode.refused, texts.noStar, texts.byNeedles);
    return this.planOn(star, eye);
  }

  private planOn(star: Star, eye: NudgeEye): NudgePlan {
    const { carried, site } = this.night;
    return planStarReading(star, site, this.night.now(), eye, 'locking', carried.answer());
  }

  private async begin(plan: NudgePlan, start: FieldPlace): Promise<void> {
    const needles = this.night.session.latest() ? await this.night.atRest() : undefined;
    this.watch({ plan, start, ...(needles && { needles }), goesOn: false });
  }

  /** From the last reading of the nudge. */
  private goOn({ star, eye, place: start, needles }: StarHeld): void {
    this.watch({ plan: this.planOn(star, eye), start, ...(needles && { needles }), goesOn: true });
  }

  private watch(watched: NonNullable<StarLock['watched']>): void {
    this.isChosen = false;
    this.watched = watched;
    this.night.carried.nudgeBegins();
  }

  private async read(place: FieldPlace | undefined): Promise<LockedOnStar | undefined> {
    const { watched } = this;
    if (!watched) return undefined;
    if (!place) throw new Failure(exitCode.usage, texts.placeMissing, texts.typePlace);
    const { plan, start, needles, goesOn } = watched;
    const after = needles && (await this.night.atRest());
    const byStar = shiftByStar(plan, this.night.site.latitudeRad, wayInField(start, place));
    const shift = needles && after ? withNeedles(byStar, needles, after) : byStar;
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
    const plan = this.plan();
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
    const held = this.night.starHeld();
    if (held) this.goOn(held);
    else await this.handsCentre();
    const { watched } = this;
    if (!watched) return undefined;
    await this.handsTighten();
    return this.read(seenInEyepiece(this.night, watched.plan.star, watched.plan.eye.sigmaReadRad));
  }
}
