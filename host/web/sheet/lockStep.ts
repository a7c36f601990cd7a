import { arcminute } from '../../../calibration/angle.ts';
import { lockShift, type LockShift } from '../../../calibration/lock.ts';
import type { Dwell } from '../../../calibration/swing/types.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { Needles } from '../../live/session.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { sided, sized } from './figures.ts';
import type { Night } from './night.ts';
import type { SheetStep } from './sheet.ts';

/** What tightening the bolts does to the axis: a rest before, a rest after, and the difference. */
export class LockStep implements SheetStep {
  readonly name = 'lock';
  readonly #night: Night;
  #before: Dwell | undefined;
  #needlesBefore: Needles | undefined;
  #shift: LockShift | undefined;
  #waiting = '';

  constructor(night: Night) {
    this.#night = night;
  }

  view(): StepView {
    const blank = {
      ...blankView(this.name, 'Lock'),
      cautions: ['Tighten in small steps, both sides in turn. Hold the tube whenever a clutch is released.'],
      actions: [
        this.#before ? { name: 'after', label: 'They are tight' } : { name: 'before', label: 'Note where it stands' },
        ...(this.#night.session.hands ? [{ name: 'hands', label: 'Hands lock the bolts', byHands: true }] : []),
      ],
    };
    if (this.#waiting) return { ...blank, status: 'under way', toDo: [this.#waiting], actions: [] };
    if (this.#shift && this.#needlesBefore) return { ...blank, ...shiftView(this.#shift, this.#needlesBefore) };
    return {
      ...blank,
      status: this.#before ? 'under way' : 'to do',
      toDo: this.#before
        ? ['Tighten the bolts now, then take your hands off.', 'Do not turn the right ascension axis in between.']
        : ['Before you tighten the bolts, let the program note where the axis stands.'],
      howSure: 'Only the difference counts, so that variation and iron drop out.',
    };
  }

  async act({ action }: StepRequest): Promise<void> {
    if (action === 'hands') {
      await this.#note();
      const { hands } = this.#night;
      this.#waiting = 'The hands tighten both bolts …';
      hands.lock('azimuth');
      hands.lock('altitude');
      await hands.whenDone();
      await this.#compare();
    } else if (action === 'before') await this.#note();
    else await this.#compare();
  }

  async #note(): Promise<void> {
    this.#shift = undefined;
    this.#before = await this.#rest('Noting where the axis stands …');
    this.#needlesBefore = this.#night.session.latest();
  }

  async #compare(): Promise<void> {
    const { session } = this.#night;
    const model = session.axisModel?.();
    if (!model || !this.#before)
      throw new Failure(exitCode.usage, 'Nothing was noted before.', 'Note where the axis stands, then tighten.');
    const after = await this.#rest('Reading where it stands now …');
    this.#shift = lockShift(model, this.#before, after, (session.site?.latitudeRad ?? 0) >= 0 ? 'north' : 'south');
    this.#before = undefined;
  }

  async #rest(words: string): Promise<Dwell> {
    this.#waiting = words;
    try {
      return await this.#night.nextRest();
    } finally {
      this.#waiting = '';
    }
  }
}

function shiftView(shift: LockShift, before: Needles): Partial<StepView> {
  const minutes = (rad: number): number => Number((rad / arcminute).toFixed(2));
  const row = (label: string, from: number, by: number, sigma: number) => ({
    label,
    before: minutes(from),
    after: minutes(from + by),
    sigma: minutes(sigma),
  });
  const isSure = shift.distanceRad > 2 * shift.sigmaDistanceRad;
  return {
    status: 'done',
    figure: `moved ${(shift.distanceRad / arcminute).toFixed(1)}′`,
    toDo: [
      isSure
        ? 'Locking moved the axis. Undo it by half as much on the far side and lock again, or note it and go on.'
        : 'Locking did not move the axis by more than can be seen.',
    ],
    measured: [
      { label: 'Altitude moved', value: sided('altitude', shift.altitudeShiftRad, shift.sigmaAltitudeShiftRad) },
      { label: 'Azimuth moved', value: sided('azimuth', shift.azimuthShiftRad, shift.sigmaAzimuthShiftRad) },
    ],
    howSure: `The axis moved by ${sized(shift.distanceRad, shift.sigmaDistanceRad)}.`,
    next: 'Load and balance; then sights or drift, where stars can be seen.',
    drawing: {
      kind: 'shift',
      unit: '′',
      rows: [
        row('azimuth', before.azimuthErrorRad, shift.azimuthShiftRad, shift.sigmaAzimuthShiftRad),
        row('altitude', before.altitudeErrorRad, shift.altitudeShiftRad, shift.sigmaAltitudeShiftRad),
      ],
    },
  };
}
