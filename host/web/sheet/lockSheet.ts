import type { SeenShift } from '../../../calibration/nudge/habit.ts';
import { lockAheadWords, lockHabitWords } from '../../steps/lockAdvice.ts';
import { loadLockings } from '../../store/lockings.ts';
import { cautions } from '../../words/cautions.ts';
import type { StepView } from '../messages.ts';
import { ShiftSheet } from './shiftSheet.ts';

/** What tightening the bolts does to the axis. */
export class LockSheet extends ShiftSheet {
  readonly name = 'lock';
  protected readonly by = 'locking';
  protected readonly texts = {
    title: 'Lock',
    cautions: [cautions.fingers, cautions.clutch],
    again: 'Lock again',
    byHands: 'Hands lock the bolts',
    now: 'tighten now',
    begin: { name: 'locking', label: 'Now tighten' },
    done: 'They are tight',
    next: {
      moved:
        'If that is too far: loosen, offset the axis by as much the other way, and lock again. Then load and balance.',
      still: 'Load and balance.',
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
      toDo: [
        'Press the button before you tighten the bolts: it records where the axis points.',
        ...lockHabitWords(this.seen),
      ],
      next: 'Load and balance.',
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
