import type { SeenShift } from '../../../calibration/nudge/habit.ts';
import { lockHabitWords } from '../../steps/lockAdvice.ts';
import { checkName } from '../../store/clipping.ts';
import { keptLoads, loadShifts } from '../../store/lockings.ts';
import { cautions } from '../../words/cautions.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { ShiftSheet } from './shiftSheet.ts';

/** How far tube, weights and camera move the axis as they go on: remembered for the mount and the load. */
export class LoadSheet extends ShiftSheet {
  readonly name = 'load';
  protected readonly by = 'load';
  protected readonly texts = {
    title: 'Load',
    cautions: [cautions.clutch],
    again: 'Measure it again',
    byHands: 'Hands put the load on',
    now: 'put it on now',
    begin: { name: 'loading', label: 'Now put it on' },
    done: 'Everything is on',
    next: {
      moved: 'Bring the axis back with the next nudge. Balance.',
      still: 'Balance.',
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
      checkName(load.trim(), 'a load');
      this.typed = load.trim();
    }
    return super.press(request);
  }

  protected before(): Partial<StepView> {
    return {
      toDo: [
        'Press the button before you put anything on: it records where the axis points. Weights go on first.',
        ...this.habits(),
      ],
      next: 'Balance.',
      fields: [{ name: 'load', label: 'What goes on', value: this.load, hint: 'refractor' }],
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
