import type { SeenShift } from '../../../calibration/nudge/habit.ts';
import { lockHabitWords } from '../../steps/lockAdvice.ts';
import { checkName } from '../../store/clipping.ts';
import { keptLoads, loadShifts } from '../../store/lockings.ts';
import { cautions } from '../../words/cautions.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { ShiftSheet } from './shiftSheet.ts';
import { texts } from './words/load.ts';

/** How far tube, weights and camera move the axis as they go on: remembered for the mount and the load. */
export class LoadSheet extends ShiftSheet {
  readonly name = 'load';
  protected readonly by = 'load';
  protected readonly own = {
    title: texts.title,
    cautions: [cautions.clutch],
    again: texts.againButton,
    byHands: texts.handsButton,
    now: texts.putItOnNow,
    begin: { name: 'loading', label: texts.putOnButton },
    done: texts.onButton,
    next: {
      moved: texts.thenNudge,
      still: texts.thenBalance,
    },
  };
  /** What goes on, once it is typed. */
  private typed: string | undefined;
  /** What each load did to this mount, oldest first. */
  private seen = new Map<string, SeenShift[]>();

  protected mover() {
    return { load: this.load };
  }

  protected async read(): Promise<void> {
    const { session, site } = this.night;
    const clipping = session.clipping ?? {};
    const loads = await keptLoads(clipping);
    const seen = await Promise.all(loads.map((load) => loadShifts({ load }, clipping, site)));
    this.seen = new Map(loads.map((load, at) => [load, seen[at]]));
  }

  protected saw(shift: SeenShift): void {
    this.seen.set(this.load, [...(this.seen.get(this.load) ?? []), shift]);
  }

  protected override press(request: StepRequest): boolean {
    const { load } = request.fields;
    if (load?.trim()) {
      checkName(load.trim(), texts.aLoad);
      this.typed = load.trim();
    }
    return super.press(request);
  }

  protected before(): Partial<StepView> {
    return {
      toDo: [texts.pressFirst, ...this.habits()],
      next: texts.thenBalance,
      fields: [{ name: 'load', label: texts.nameLabel, value: this.load, hint: texts.nameHint }],
    };
  }

  protected after(): string[] {
    return this.habits();
  }

  protected move(): void {
    this.night.hands.load(true);
  }

  private get load(): string {
    return this.typed ?? [...this.seen.keys()].at(0) ?? 'instrument';
  }

  private habits(): string[] {
    return [...this.seen].flatMap(([load, seen]) => lockHabitWords(seen, load));
  }
}
