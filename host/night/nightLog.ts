import type { Answer, AxisEstimate } from '../../calibration/answer.ts';
import { degree } from '../../calibration/angle.ts';
import type { Plan } from '../store/plan.ts';
import type { AxisErrors } from '../../calibration/drift/driftModel.ts';
import { hasBegun, isNoted, type EntryMore, type NightEntry, type NudgeEntry } from './nightEntry.ts';
import { answerFrom, entryOf, estimatesOf } from './nightEstimates.ts';
import type { StepOfNight } from './stepsOfNight.ts';
import { keepInNight, loadNight } from './nightFile.ts';

/** What was measured this night, and when the axis was moved. A log of a virtual mount is not kept on disk. */
export class NightLog {
  readonly entries: NightEntry[] = [];
  /** What was named on the page; a real mount's is kept on disk as well. */
  plan: Plan | undefined;
  private readonly isKept: boolean;
  private readonly now: () => Date;

  constructor({ isKept, now = () => new Date() }: { isKept: boolean; now?: () => Date }) {
    this.isKept = isKept;
    this.now = now;
  }

  /**
   * Takes up the log that is on disk, as after a restart of the program. Throws Failure.
   * @returns what of it is not counted, as sentences
   */
  async load(): Promise<string[]> {
    if (!this.isKept) return [];
    const { entries, cautions } = await loadNight(this.now());
    this.entries.splice(0, this.entries.length, ...entries);
    return cautions;
  }

  /** Throws Failure when it cannot be written; the measurement then still counts until the program ends. */
  async keep(estimate: Omit<AxisEstimate, 'utcMs'>, more: EntryMore = {}): Promise<void> {
    await this.add(entryOf({ ...estimate, utcMs: this.now().getTime() }, more));
  }

  /** The bolts, or their locking, moved the axis from one reading of the needles to the other. Throws Failure as `keep`. */
  async moved(
    before: AxisErrors,
    after: AxisErrors,
    more: Omit<Partial<NudgeEntry>, 'kind' | 'timeUtc'> = {},
  ): Promise<void> {
    await this.add({
      kind: 'nudge',
      timeUtc: this.now().toISOString(),
      altitudeShiftDeg: (after.altitudeErrorRad - before.altitudeErrorRad) / degree,
      azimuthShiftDeg: (after.azimuthErrorRad - before.azimuthErrorRad) / degree,
      ...more,
    });
  }

  async note(words: string, more: Pick<EntryMore, 'replacesEarlier'> = {}): Promise<void> {
    await this.add({ kind: 'note', timeUtc: this.now().toISOString(), words, ...more });
  }

  /** A step is done, for what comes next and for the night sheet: once after each measurement or move of the axis. */
  async noteStep(step: StepOfNight, words: string): Promise<void> {
    if (isNoted(this.entries, step)) return;
    await this.add({ kind: 'note', timeUtc: this.now().toISOString(), words, step });
  }

  /** Something was measured or moved this night. */
  get hasBegun(): boolean {
    return hasBegun(this.entries);
  }

  estimates(): AxisEstimate[] {
    return estimatesOf(this.entries);
  }

  /** Everything measured so far, carried to now; undefined before the first measurement. */
  answer(latitudeRad: number): Answer | undefined {
    return answerFrom(this.entries, latitudeRad, this.now().getTime());
  }

  private async add(entry: NightEntry): Promise<void> {
    this.entries.push(entry);
    if (this.isKept) await keepInNight(entry);
  }
}
