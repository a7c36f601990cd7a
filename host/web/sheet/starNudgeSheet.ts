import type { SeenShift } from '../../../calibration/nudge/habit.ts';
import { wayInField, type FieldPlace } from '../../../calibration/nudge/starAfter.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { Needles } from '../../live/session.ts';
import { nudgeByEye } from '../../practice/nudgeByEye.ts';
import { planStarNudge, type NudgePlan } from '../../steps/starNudge.ts';
import { shiftByStar, withNeedles } from '../../steps/starShift.ts';
import type { StepRequest, StepView } from '../messages.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';
import {
  centreByHands,
  eyeTyped,
  isMirrored,
  placeOn,
  placeTyped,
  seenInEyepiece,
  starTyped,
} from './starAtEyepiece.ts';
import { starNudgeView, type StarNudgeState } from './starNudgeView.ts';
import { texts } from './words/starNudge.ts';

/** How often the choice of star and the plan are looked at again: they cost some milliseconds. */
const planMs = 5000;

/** A nudge read on a star in the eyepiece; needs an answer of the night, and no needles. */
export class StarNudgeSheet implements SheetStep {
  readonly name = 'starNudge';
  private readonly night: Night;
  private typed: Record<string, string> = {};
  private plan: { made: NudgePlan; atMs: number } | undefined;
  /** The star is centred; from now on the bolts are turned. */
  private centred: { plan: NudgePlan; needles?: Needles; start: FieldPlace } | undefined;
  private read: SeenShift | undefined;
  private busy = '';

  constructor(night: Night) {
    this.night = night;
    night.onMoved(() => this.close());
  }

  view(): StepView {
    return starNudgeView(this.state());
  }

  async act({ action, fields }: StepRequest): Promise<void> {
    this.typed = { ...this.typed, ...fields };
    if (action === 'cancel') await this.giveUp();
    else if (action === 'centred') await this.begin();
    else if (action === 'read') await this.keep(this.placeOf(fields));
    else if (action === 'show') this.plan = undefined;
    else if (action === 'hands-centre') await this.whileBusy(texts.handsCentre, () => this.handsCentre());
    else await this.whileBusy(texts.handsNudge, () => this.byHands());
  }

  close(): void {
    this.centred = undefined;
    this.plan = undefined;
    this.read = undefined;
    this.busy = '';
  }

  private state(): StarNudgeState {
    const { session } = this.night;
    let why = '';
    try {
      if (!this.centred) this.makePlan();
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      why = `${error.message} ${error.whatToDo}`;
    }
    const plan = this.centred?.plan ?? this.plan?.made;
    return {
      plan: why === '' ? plan : undefined,
      why,
      isCentred: this.centred !== undefined,
      read: this.read,
      busy: this.busy,
      typed: this.typed,
      fieldRad: eyeTyped(this.typed.field).fieldRad,
      mirrored: isMirrored(this.typed.picture),
      hasHands: session.virtual !== undefined,
      seen: this.centred && this.seen(),
    };
  }

  /** Throws Failure where there is no answer of the night, or no star. */
  private makePlan(): void {
    if (this.plan && performance.now() - this.plan.atMs < planMs) return;
    const { carried, site } = this.night;
    const axis = carried.answer();
    if (!axis?.parts.some(({ kind }) => kind !== 'compass')) {
      throw new Failure(
        exitCode.refused,
        'The axis was not measured on the sky yet.',
        'Take sights or watch a drift first.',
      );
    }
    const eye = eyeTyped(this.typed.field);
    const star = starTyped(this.night, this.typed.star, axis, eye);
    if (!star) throw new Failure(exitCode.refused, 'No listed star suits a nudge now.', 'Nudge by the needles.');
    this.plan = {
      made: planStarNudge(star, site, this.night.now(), axis, eye, this.night.coming?.standOff),
      atMs: performance.now(),
    };
  }

  private async begin(): Promise<void> {
    this.plan = undefined;
    this.makePlan();
    const plan = (this.plan as { made: NudgePlan } | undefined)?.made;
    if (!plan) return;
    const needles = this.night.session.latest() ? await this.night.atRest() : undefined;
    this.read = undefined;
    this.centred = { plan, ...(needles && { needles }), start: { northRad: 0, eastRad: 0 } };
    this.night.carried.nudgeBegins();
  }

  /** What is typed is where the star stands; left empty, it stands where it must. */
  private placeOf(fields: StepRequest['fields']): FieldPlace {
    const step = this.centred?.plan.steps[0];
    if (!step) throw new Failure(exitCode.usage, 'No star is centred.', 'Centre a star first.');
    return placeTyped(fields) ?? step.home;
  }

  private async keep(place: FieldPlace): Promise<void> {
    const centred = this.centred;
    if (!centred) return;
    const { night } = this;
    const { plan, needles: before } = centred;
    const needles = before && (await night.atRest());
    const byStar = shiftByStar(plan, night.site.latitudeRad, place);
    const shift = before && needles ? withNeedles(byStar, before, needles) : byStar;
    this.close();
    this.read = shift;
    await night.carried.shifted(shift, 'star', texts.readOn(plan.star.name));
    night.holdStar({
      star: plan.star,
      eye: plan.eye,
      place: placeOn(centred.start, place),
      ...(needles && { needles }),
    });
  }

  private async giveUp(): Promise<void> {
    const { carried, session } = this.night;
    const wasCentred = this.centred !== undefined;
    this.close();
    session.virtual?.eyepiece.stopDrive();
    if (wasCentred && carried.isNudging) await carried.nudgeEnds(await this.night.atRest());
  }

  /** Where the star stands in the virtual eyepiece, from where it stood when it was centred. */
  private seen(sigmaRad?: number): FieldPlace | undefined {
    if (!this.centred) return undefined;
    const seen = seenInEyepiece(this.night, this.centred.plan.star, sigmaRad);
    return seen && wayInField(this.centred.start, seen);
  }

  private async handsCentre(): Promise<void> {
    this.makePlan();
    const plan = this.plan?.made;
    if (!plan) return;
    await centreByHands(this.night, plan.star);
    await this.begin();
    if (!this.centred) return;
    const start = this.seen(plan.eye.sigmaReadRad);
    if (start) this.centred.start = start;
  }

  private async byHands(): Promise<void> {
    const { session, site } = this.night;
    if (!this.centred) await this.handsCentre();
    const centred = this.centred;
    const hands = session.virtual?.hands;
    if (!hands || !centred) return;
    const { plan } = centred;
    const left = 1 - 1 / plan.steps.length;
    const part = (from: number, to: number): number => to + left * (from - to);
    const read = (): FieldPlace | undefined => this.seen(plan.eye.sigmaReadRad);
    await nudgeByEye(
      hands,
      {
        starNed: plan.starNed,
        latitudeRad: site.latitudeRad,
        from: plan.axis,
        aim: {
          altitudeErrorRad: part(plan.axis.altitudeErrorRad, plan.aim.altitudeErrorRad),
          azimuthErrorRad: part(plan.axis.azimuthErrorRad, plan.aim.azimuthErrorRad),
        },
        sigmaReadRad: plan.eye.sigmaReadRad,
        read,
      },
      () => this.centred === undefined,
    );
    const last = read();
    if (last) await this.keep(last);
  }

  private async whileBusy(words: string, work: () => Promise<void>): Promise<void> {
    if (this.busy) throw new Failure(exitCode.usage, this.busy, 'Wait until that is done.');
    this.busy = words;
    try {
      await work();
    } finally {
      this.busy = '';
    }
  }
}
