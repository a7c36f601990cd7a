import type { SeenShift } from '../../../calibration/nudge/habit.ts';
import { lockAheadWords, lockHabitWords } from '../../steps/lockAdvice.ts';
import { loadLockings } from '../../store/lockings.ts';
import { cautions } from '../../words/cautions.ts';
import type { StepView } from '../messages.ts';
import { ShiftSheet } from './shiftSheet.ts';
import { texts } from './words/lock.ts';

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
      still: texts.thenLoad,
    },
  };
  /** What locking did to this mount, oldest first. */
  private seen: SeenShift[] = [];

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
      next: texts.thenLoad,
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
