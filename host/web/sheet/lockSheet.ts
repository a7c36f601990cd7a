import { arcminute } from '../../../calibration/angle.ts';
import type { LockShift } from '../../../calibration/lock.ts';
import type { SeenShift } from '../../../calibration/nudge/habit.ts';
import type { Needles } from '../../live/session.ts';
import { isShiftSeen, LockStep, lockWords } from '../../steps/lockStep.ts';
import { lockAheadWords, lockHabitWords } from '../../steps/lockAdvice.ts';
import { keepLocking, loadLockings } from '../../store/lockings.ts';
import type { Axis } from '../../words/reading.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { cautions } from '../../words/cautions.ts';
import { blankView } from './blankView.ts';
import { sided, sized } from './giveOrTake.ts';
import { modelInUse } from './liveStep.ts';
import { cancelAction, GatheringSheet } from './gatheringSheet.ts';

/** What tightening the bolts does to the axis: a rest before, a rest after, and the difference. */
export class LockSheet extends GatheringSheet<LockStep> {
  readonly name = 'lock';
  private needlesBefore: Needles | undefined;
  private shift: LockShift | undefined;
  /** What locking did to this mount, oldest first; read once, and kept but for a virtual mount. */
  private seen: SeenShift[] = [];
  private isRead = false;

  protected override forget(): void {
    this.shift = undefined;
  }

  view(): StepView {
    const blank = {
      ...blankView(this.name, 'Lock'),
      cautions: [cautions.fingers, cautions.clutch],
      howSure: 'Only the difference counts, so variation and iron cancel out.',
    };
    const progress = this.step?.progress();
    if (progress)
      return {
        ...blank,
        status: 'under way',
        figure: progress.isBeforeKept ? 'tighten now' : 'rest before',
        toDo: [progress.instruction, 'Do not turn the right-ascension axis meanwhile.'],
        actions: [
          progress.isBeforeKept
            ? { name: 'finish', label: 'They are tight' }
            : { name: 'locking', label: 'Now tighten' },
          cancelAction,
        ],
      };
    const actions = this.beginnings(this.shift ? 'Lock again' : 'Start', 'Hands lock the bolts');
    if (this.shift && this.needlesBefore)
      return {
        ...blank,
        ...shiftView(this.shift, this.needlesBefore, this.aheadWords(), this.night.site.latitudeRad < 0),
        actions,
      };
    return {
      ...blank,
      toDo: [
        'Press the button before you tighten the bolts: it records where the axis points.',
        ...lockHabitWords(this.seen),
      ],
      next: 'Load and balance.',
      actions,
    };
  }

  protected async begin(): Promise<LockStep> {
    const { session, site } = this.night;
    await this.remember();
    return new LockStep(modelInUse(session), site.latitudeRad >= 0 ? 'north' : 'south');
  }

  protected override press({ action }: StepRequest): boolean {
    if (action !== 'locking') return false;
    this.locking();
    return true;
  }

  private locking(): void {
    this.step?.locking();
    this.needlesBefore = this.night.session.latest();
    this.night.carried.nudgeBegins();
  }

  protected override async giveUp(): Promise<void> {
    const { carried } = this.night;
    this.close();
    if (carried.isNudging) await carried.nudgeEnds(await this.night.atRest());
  }

  protected async byHands(): Promise<void> {
    const { hands } = this.night;
    hands.rest(2.5);
    await hands.whenDone();
    this.locking();
    hands.lock('azimuth');
    hands.lock('altitude');
    hands.rest(2.5);
    await hands.whenDone();
    await this.finish();
  }

  protected async conclude(shift: LockShift): Promise<void> {
    this.shift = shift;
    const { sigmaAltitudeShiftRad, sigmaAzimuthShiftRad } = shift;
    const covariance = [sigmaAltitudeShiftRad ** 2, 0, 0, sigmaAzimuthShiftRad ** 2] as const;
    const seen: SeenShift = { ...shift, covariance };
    this.seen.push(seen);
    await this.night.carried.shifted(seen, 'locking', lockWords(shift));
    const { session, site } = this.night;
    if (!session.virtual) await keepLocking(seen, session.clipping ?? {}, site, this.night.now());
  }

  private async remember(): Promise<void> {
    const { session, site } = this.night;
    if (this.isRead || session.virtual) return;
    this.isRead = true;
    this.seen = await loadLockings(session.clipping ?? {}, site);
  }

  private aheadWords(): string[] {
    const answer = this.night.carried.answer();
    return answer ? [lockAheadWords(answer, this.seen, this.night.site.latitudeRad), ...lockHabitWords(this.seen)] : [];
  }
}

const endsOf = (axis: Axis, isReversed: boolean): [string, string] =>
  axis === 'altitude' ? ['low', 'high'] : isReversed ? ['east', 'west'] : ['west', 'east'];

/** Where one faces south, east is drawn at the left, as on the needles. */
function shiftView(shift: LockShift, before: Needles, ahead: string[], isSouth: boolean): Partial<StepView> {
  const minutes = (rad: number): number => Number((rad / arcminute).toFixed(2));
  const row = (label: Axis, from: number, by: number, sigma: number, isReversed = false) => ({
    label,
    ends: endsOf(label, isReversed),
    isReversed,
    before: minutes(from),
    after: minutes(from + by),
    sigma: minutes(sigma),
  });
  return {
    status: 'done',
    figure: isShiftSeen(shift) ? `moved ${(shift.distanceRad / arcminute).toFixed(1)}′` : 'no measurable shift',
    toDo: [lockWords(shift), ...ahead],
    measured: [
      { label: 'Altitude moved', value: sided('altitude', shift.altitudeShiftRad, shift.sigmaAltitudeShiftRad) },
      { label: 'Azimuth moved', value: sided('azimuth', shift.azimuthShiftRad, shift.sigmaAzimuthShiftRad) },
    ],
    howSure: `The axis moved by ${sized(shift.distanceRad, shift.sigmaDistanceRad)}.`,
    next: isShiftSeen(shift)
      ? 'If that is too far: loosen, offset the axis by as much the other way, and lock again. Then load and balance.'
      : 'Load and balance.',
    drawing: {
      kind: 'shift',
      unit: '′',
      rows: [
        row('azimuth', before.azimuthErrorRad, shift.azimuthShiftRad, shift.sigmaAzimuthShiftRad, isSouth),
        row('altitude', before.altitudeErrorRad, shift.altitudeShiftRad, shift.sigmaAltitudeShiftRad),
      ],
    },
  };
}
