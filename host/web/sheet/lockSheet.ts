import type { SeenShift } from '../../../calibration/nudge/habit.ts';
import { lockAheadWords, lockHabitWords } from '../../steps/lockAdvice.ts';
import { lockWords, shiftOf } from '../../steps/lockStep.ts';
import { loadLockings } from '../../store/lockings.ts';
import { cautions } from '../../words/cautions.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { ShiftSheet } from './shiftSheet.ts';
import { StarLock } from './starLock.ts';
import { texts } from './words/lock.ts';

const ofStar: readonly string[] = ['star', 'centred', 'tight', 'hands-star', 'hands-centre', 'hands-tighten'];

/** What tightening the bolts does to the axis. */
export class LockSheet extends ShiftSheet {
  readonly name = 'lock';
  protected readonly by = 'locking';
  protected readonly own = {
    title: texts.title,
    cautions: [cautions.fingers, cautions.clutch],
    again: texts.againButton,
    byHands: texts.handsButton,
    now: texts.tightenNow,
    begin: { name: 'locking', label: texts.tightenButton },
    done: texts.tightButton,
    next: {
      moved: texts.ifTooFar,
      still: texts.thenProve,
    },
  };
  /** What locking did to this mount, oldest first. */
  private seen: SeenShift[] = [];
  private readonly star = new StarLock(this.night);

  override get isLedByHands(): boolean {
    return super.isLedByHands || this.star.isByHands;
  }

  override view(): StepView {
    const view = super.view();
    if (this.star.isUnderWay)
      return { ...view, status: 'under way', measured: [], drawing: undefined, ...this.star.view() };
    if (view.status === 'under way') return view;
    const { begin, hands, isHeld } = this.star.offers();
    // the star of the nudge is still in the eyepiece: nothing is nearer at hand
    const actions = isHeld
      ? [{ ...begin, isMain: hands.length === 0 || undefined }, ...hands, ...view.actions]
      : [...view.actions, begin, ...hands];
    return { ...view, actions };
  }

  override async act(request: StepRequest): Promise<void> {
    const { action, fields } = request;
    if (this.star.isUnderWay && action === 'cancel') return this.star.giveUp();
    if (!ofStar.includes(action)) return super.act(request);
    await this.remembered();
    const locked = await this.star.act(action, fields);
    if (!locked) return;
    const { shift, readOn, before, goesOn } = locked;
    this.axisBefore = before;
    const told = shiftOf(shift, this.night.site.latitudeRad);
    await this.took(told, shift, `${lockWords(told)} ${readOn}`, goesOn);
  }

  override close(): void {
    super.close();
    this.star.close();
  }

  protected mover() {
    return 'locking' as const;
  }

  protected async read(): Promise<void> {
    const { session, site } = this.night;
    this.seen = await loadLockings(session.clipping ?? {}, site);
  }

  protected saw(shift: SeenShift): void {
    this.seen.push(shift);
  }

  protected before(): Partial<StepView> {
    return {
      toDo: [texts.pressFirst, ...lockHabitWords(this.seen)],
      next: texts.thenProve,
    };
  }

  protected after(): string[] {
    const answer = this.night.carried.answer();
    return answer ? [lockAheadWords(answer, this.seen, this.night.site.latitudeRad), ...lockHabitWords(this.seen)] : [];
  }

  protected move(): void {
    const { hands } = this.night;
    hands.lock('azimuth');
    hands.lock('altitude');
  }
}
