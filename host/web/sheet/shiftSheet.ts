import { arcminute } from '../../../calibration/angle.ts';
import type { LockShift } from '../../../calibration/lock.ts';
import type { AxisErrors } from '../../../calibration/drift/driftModel.ts';
import type { SeenShift } from '../../../calibration/nudge/habit.ts';
import { isShiftSeen, LockStep, lockWords, seenOf } from '../../steps/lockStep.ts';
import { keepShift, ofMover, type Mover } from '../../store/lockings.ts';
import type { Axis } from '../../words/reading.ts';
import type { Action, StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { sided, sized } from './giveOrTake.ts';
import { modelInUse } from './liveStep.ts';
import { cancelAction, GatheringSheet } from './gatheringSheet.ts';
import { texts } from './words/shift.ts';

interface ShiftTexts {
  title: string;
  cautions: string[];
  again: string;
  byHands: string;
  /** Once the rest before is kept. */
  now: string;
  begin: Action;
  done: string;
  next: { moved: string; still: string };
}

const handsRestS = 2.5;
const restLimitMs = 15_000;
const lookMs = 20;

/** What moves the axis between a rest before and a rest after, and by how much: the locking of the bolts, or a load. */
export abstract class ShiftSheet extends GatheringSheet<LockStep> {
  protected abstract readonly own: ShiftTexts;
  protected abstract readonly by: 'locking' | 'load';
  protected axisBefore: AxisErrors | undefined;
  private shift: LockShift | undefined;
  private reading: Promise<void> | undefined;

  /** What moves the axis this time, by the name under which it is remembered. */
  protected abstract mover(): Mover;
  /** Reads what is remembered of this mount. Throws Failure. */
  protected abstract read(): Promise<void>;
  /** One more shift of this evening. */
  protected abstract saw(shift: SeenShift): void;
  /** What to do before it, by what it did last times. */
  protected abstract before(): Partial<StepView>;
  /** What to do about it afterwards. */
  protected abstract after(): string[];
  protected abstract move(): void;

  protected override forget(): void {
    this.shift = undefined;
    this.reading = undefined;
  }

  view(): StepView {
    const { own } = this;
    const blank = {
      ...blankView(this.name, own.title),
      cautions: own.cautions,
      howSure: texts.onlyDifference(this.night.session.clipping?.mount),
    };
    const progress = this.step?.progress();
    if (progress)
      return {
        ...blank,
        status: 'under way',
        figure: progress.isBeforeKept ? own.now : texts.restBefore,
        toDo: [progress.instruction, texts.keepAxis],
        actions: [progress.isBeforeKept ? { name: 'finish', label: own.done } : own.begin, cancelAction],
      };
    // what cannot be read is told when the step is begun
    this.remembered().catch(() => {});
    const begins = {
      ...this.before(),
      actions: this.beginnings(this.shift ? own.again : texts.startButton, own.byHands),
    };
    if (!this.shift || !this.axisBefore) return { ...blank, ...begins };
    const isSouth = this.night.site.latitudeRad < 0;
    return { ...blank, ...begins, ...this.shiftView(this.shift, this.axisBefore, isSouth) };
  }

  protected async begin(): Promise<LockStep> {
    const { session, site } = this.night;
    const model = modelInUse(session);
    // a star that was watched is left: the axis must not turn between the rests
    session.virtual?.eyepiece.stopDrive();
    try {
      await this.remembered();
    } catch (error) {
      this.reading = undefined;
      throw error;
    }
    return new LockStep(model, site.latitudeRad >= 0 ? 'north' : 'south', this.by);
  }

  protected override press({ action }: StepRequest): boolean {
    if (action !== this.own.begin.name) return false;
    this.moves();
    return true;
  }

  private moves(): void {
    this.step?.locking();
    this.axisBefore = this.night.session.latest();
    this.night.carried.nudgeBegins();
  }

  protected override async giveUp(): Promise<void> {
    const { carried } = this.night;
    this.close();
    if (carried.isNudging) await carried.nudgeEnds(await this.night.atRest());
  }

  protected async byHands(): Promise<void> {
    await this.handsRest();
    this.moves();
    this.move();
    await this.handsRest();
    await this.finish();
  }

  /** Virtual hands keep off until the rest counts: the readings arrive a little later than they are made. */
  private async handsRest(): Promise<void> {
    const { hands } = this.night;
    hands.rest(handsRestS);
    await hands.whenDone();
    const limitMs = performance.now() + restLimitMs;
    while (this.step?.progress().restCounts === false && performance.now() < limitMs)
      await new Promise((done) => setTimeout(done, lookMs));
  }

  protected async conclude(shift: LockShift): Promise<void> {
    await this.took(shift, seenOf(shift), lockWords(shift, this.by));
  }

  /** Shows what moved the axis, takes it into the answer of the night and remembers it of the mount. */
  protected async took(shift: LockShift, seen: SeenShift, words: string, goesOn = false): Promise<void> {
    this.shift = shift;
    this.saw(seen);
    const mover = this.mover();
    await this.night.carried.shifted(seen, this.by, ofMover(words, mover), goesOn);
    const { session, site } = this.night;
    if (!session.virtual) await keepShift(seen, mover, session.clipping ?? {}, site, this.night.now());
  }

  /** What this mount did before is read once. Throws Failure. */
  protected async remembered(): Promise<void> {
    const { site, virtual } = this.night.session;
    if (!site || virtual) return;
    await (this.reading ??= this.read());
  }

  /** Where one faces south, east is drawn at the left, as on the needles. */
  private shiftView(shift: LockShift, before: AxisErrors, isSouth: boolean): Partial<StepView> {
    const { next } = this.own;
    return {
      status: 'done',
      figure: isShiftSeen(shift) ? texts.movedBy((shift.distanceRad / arcminute).toFixed(1)) : texts.noShift,
      toDo: [lockWords(shift, this.by), ...this.after()],
      measured: [
        { label: texts.altitudeMoved, value: sided('altitude', shift.altitudeShiftRad, shift.sigmaAltitudeShiftRad) },
        { label: texts.azimuthMoved, value: sided('azimuth', shift.azimuthShiftRad, shift.sigmaAzimuthShiftRad) },
      ],
      howSure: texts.noted(sized(shift.distanceRad, shift.sigmaDistanceRad)),
      next: isShiftSeen(shift) ? next.moved : next.still,
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
}

const minutes = (rad: number): number => Number((rad / arcminute).toFixed(2));

const row = (label: Axis, fromRad: number, byRad: number, sigmaRad: number, isReversed = false) => ({
  label,
  ends: endsOf(label, isReversed),
  isReversed,
  before: minutes(fromRad),
  after: minutes(fromRad + byRad),
  sigma: minutes(sigmaRad),
});

const endsOf = (axis: Axis, isReversed: boolean): [string, string] =>
  axis === 'altitude' ? ['low', 'high'] : isReversed ? ['east', 'west'] : ['west', 'east'];
