import { arcsecond } from '../../../calibration/angle.ts';
import { exitCode, Failure } from '../../failure.ts';
import { driftStars, judgeDrift, type DriftOutcome } from '../../sky/drift.ts';
import type { TypedReading } from '../../sky/driftFile.ts';
import { requireStar } from '../../sky/stars.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { gateWords, sided } from './figures.ts';
import type { Night } from './night.ts';
import type { SheetStep } from './sheet.ts';

const watchMinutes = 5;
/** How often the choice of star is looked at again: it costs a few milliseconds. */
const choiceMs = 30_000;

/** Drift of one or two stars, read in the eyepiece and typed; the clock is read at the button. */
export class DriftSheet implements SheetStep {
  readonly name = 'drift';
  readonly #night: Night;
  #readings: TypedReading[] = [];
  #outcome: DriftOutcome | undefined;
  #typed: Record<string, string> = {};
  #choice = { words: '', atMs: -Infinity };

  constructor(night: Night) {
    this.#night = night;
  }

  view(): StepView {
    const count = this.#readings.length;
    const stars = [...new Set(this.#readings.map(({ star }) => star.name))];
    const blank: StepView = {
      ...blankView(this.name, 'Drift of a star'),
      status: count > 0 ? 'under way' : 'to do',
      figure: count > 0 ? `${count} readings` : '',
      toDo: [
        count === 0
          ? 'Let the drive run, centre a star, and type every half minute how far north of the start it stands.'
          : 'Go on every half minute for five minutes, then the same with a second star.',
        this.#starWords(),
      ],
      measured: stars.map((name) => ({
        label: name,
        value: `${this.#readings.filter(({ star }) => star.name === name).length} readings`,
      })),
      howSure: 'Common practice: an arcminute of error drifts at most about a quarter of an arcsecond in a minute.',
      next: 'Ask whether it is good enough.',
      fields: [
        { name: 'star', label: 'Star', value: this.#typed.star ?? '', hint: 'Vega, alpha Lyr or HIP 91262' },
        { name: 'unit', label: 'One division or pixel, arcseconds', value: this.#typed.unit ?? '1', hint: '1' },
        { name: 'north', label: 'North of the start', value: '', hint: '0, 1.5 or -2' },
      ],
      actions: [
        { name: 'note', label: 'Note it now' },
        ...(count > 0
          ? [
              { name: 'undo', label: 'Undo' },
              { name: 'finish', label: 'Finish' },
            ]
          : []),
      ],
    };
    if (!this.#outcome) return blank;
    const { fit, gates } = this.#outcome;
    return {
      ...blank,
      status: 'done',
      figure: `${this.#outcome.stars.map(({ name }) => name).join(', ')}`,
      toDo: gates.length > 0 ? gates.map(gateWords) : ['The needles show this from now on.'],
      measured: [
        { label: 'Azimuth', value: sided('azimuth', fit.azimuthErrorRad, Math.sqrt(fit.axisCovariance[3])) },
        { label: 'Altitude', value: sided('altitude', fit.altitudeErrorRad, Math.sqrt(fit.axisCovariance[0])) },
      ],
    };
  }

  async act({ action, fields }: StepRequest): Promise<void> {
    this.#typed = fields;
    if (action === 'undo') this.#readings.pop();
    else if (action === 'finish') await this.#finish();
    else {
      const north = fields.north?.trim() ? Number(fields.north) : NaN;
      if (!Number.isFinite(north))
        throw new Failure(exitCode.usage, 'That is no reading.', 'Type how far north of the start it stands, as 1.5.');
      this.#readings.push({ star: requireStar(fields.star ?? ''), utc: new Date(), north });
      this.#outcome = undefined;
    }
  }

  /** The readings stay until they made a line. */
  async #finish(): Promise<void> {
    const unit = Number(this.#typed.unit);
    if (!(unit > 0)) throw new Failure(exitCode.usage, 'The division has no size.', 'Type its arcseconds, as 12.5.');
    this.#outcome = judgeDrift(this.#readings, this.#night.site, unit * arcsecond);
    this.#readings = [];
    await this.#night.believe({ kind: 'drift', utcMs: Date.now(), ...this.#outcome.fit });
  }

  #starWords(): string {
    const now = performance.now();
    if (now - this.#choice.atMs < choiceMs) return this.#choice.words;
    const needles = this.#night.session.latest();
    if (!needles || !this.#night.session.site) return '';
    const known = [needles.sigmaAltitudeErrorRad ** 2, 0, 0, needles.sigmaAzimuthErrorRad ** 2] as const;
    const ranked = driftStars(this.#night.site, new Date(), known, watchMinutes);
    const best = (['azimuth', 'altitude'] as const).flatMap((what) => {
      const choice = ranked.find(({ tells }) => tells === what);
      return choice ? [`for ${what} ${choice.star.name}, ${choice.where}`] : [];
    });
    this.#choice = { words: best.length > 0 ? `Best now: ${best.join('; ')}.` : '', atMs: now };
    return this.#choice.words;
  }
}
