import { arcminute, degree } from '../../../calibration/angle.ts';
import {
  allowedForExposure,
  allowedForEyepiece,
  chanceWithin,
  verdictOf,
  type Verdict,
} from '../../../calibration/enough.ts';
import { exitCode, Failure } from '../../failure.ts';
import { parseDeclination } from '../../sky/target.ts';
import { keepPlan } from '../../store/plan.ts';
import { chanceWords } from '../../words/chance.ts';
import { plainAngle } from '../../words/reading.ts';
import type { Field, StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { capital } from './giveOrTake.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';

/** Sensor and smear where nothing is typed: 23.5 x 15.7 mm, one pixel. */
const usualDiagonalM = Math.hypot(23.5, 15.7) / 1000;

interface Answer {
  verdict: Verdict;
  chance: number;
  allowedRad: number;
  distanceRad: number;
  plan: string;
}

/** Whether the axis, as the needles know it, is good enough for tonight's plan. */
export class EnoughSheet implements SheetStep {
  readonly name = 'enough';
  private readonly night: Night;
  private readonly typed: Record<string, string> = {};
  private answer: Answer | undefined;

  constructor(night: Night) {
    this.night = night;
    night.onMoved(() => {
      this.answer = undefined;
      this.night.allowedRad = undefined;
    });
  }

  view(): StepView {
    const field = (name: string, label: string, hint: string): Field => ({
      name,
      label,
      hint,
      ...(name !== 'dec' && { number: 'plain' }),
      value: this.typed[name] ?? '',
    });
    const blank: StepView = {
      ...blankView(this.name, 'Good enough?'),
      toDo: [
        "Type tonight's plan: exposure, focal length and pixel for photographs, or field and minutes for the eye.",
      ],
      howSure: 'The verdict includes the uncertainty of both errors.',
      fields: [
        field('exposure', 'Exposure, seconds', '120'),
        field('focal', 'Focal length, mm', '400'),
        field('pixel', 'Pixel, micrometres', '3.8'),
        field('dec', 'Declination of the target', "0, or -33d30'"),
        field('field', 'Field of the eyepiece, arcminutes', '50'),
        field('minutes', 'Minutes it should stay', '20'),
      ],
      actions: [{ name: 'ask', label: 'Is it good enough?' }],
    };
    if (!this.answer) return blank;
    const { verdict, chance, allowedRad, distanceRad, plan } = this.answer;
    return {
      ...blank,
      status: 'done',
      figure: verdict,
      toDo: [
        `${capital(verdict)} for ${plan}.`,
        `Up to ${plainAngle(allowedRad / degree, 0.01)} from the pole is allowed; the axis is at ${plainAngle(distanceRad / degree, 0.05)}.`,
      ],
      howSure: capital(`${chanceWords(chance)} that it is within.`),
      next: verdict === 'good enough' ? 'Observe.' : 'Take sights or drift, nudge, and ask again.',
    };
  }

  async act({ fields }: StepRequest): Promise<void> {
    Object.assign(this.typed, fields);
    const { session, site } = this.night;
    const needles = session.latest();
    if (!needles || needles.state === 'stale')
      throw new Failure(exitCode.usage, 'The axis has not been measured.', 'Wait for the needles.');
    const { allowedRad, plan } = this.plan();
    this.night.allowedRad = allowedRad;
    const across = Math.cos(site.latitudeRad);
    const eastRad = needles.azimuthErrorRad * across;
    const covariance = [
      (needles.sigmaAzimuthErrorRad * across) ** 2,
      0,
      0,
      needles.sigmaAltitudeErrorRad ** 2,
    ] as const;
    const chance = chanceWithin(allowedRad, eastRad, needles.altitudeErrorRad, covariance);
    this.answer = { verdict: verdictOf(chance), chance, allowedRad, distanceRad: needles.distanceRad, plan };
    const { log } = this.night.carried;
    log.plan = { allowedRad, words: plan };
    if (!session.virtual) await keepPlan(log.plan);
    await log.noteStep('enough', `The plan: ${plan}.`);
  }

  private plan(): { allowedRad: number; plan: string } {
    const { exposure, field } = this.typed;
    if (exposure?.trim()) {
      const [exposureS, focalMm, pixelUm] = ['exposure', 'focal', 'pixel'].map((name) => this.positive(name));
      const focalLengthM = focalMm / 1000;
      const { distanceRad } = allowedForExposure({
        exposureS,
        focalLengthM,
        declinationRad: this.typed.dec?.trim() ? parseDeclination(this.typed.dec) : 0,
        smearM: pixelUm * 1e-6,
        cornerRad: Math.atan(usualDiagonalM / 2 / focalLengthM),
        guided: false,
      });
      return { allowedRad: distanceRad, plan: `exposures of ${exposureS} s at ${focalMm} mm, not guided` };
    }
    if (!field?.trim())
      throw new Failure(exitCode.usage, 'The plan is missing.', 'Type it for a photograph or for the eye.');
    const [fieldArcmin, minutes] = ['field', 'minutes'].map((name) => this.positive(name));
    return {
      allowedRad: allowedForEyepiece(fieldArcmin * arcminute, minutes * 60),
      plan: `${minutes} minutes in a field of ${fieldArcmin}′, driven`,
    };
  }

  private positive(name: string): number {
    const text = this.typed[name] ?? '';
    const value = text.trim() === '' ? NaN : Number(text);
    if (value > 0 && Number.isFinite(value)) return value;
    const label = this.view().fields.find((candidate) => candidate.name === name)?.label ?? name;
    throw new Failure(exitCode.usage, `${label}: "${text}" is not a positive number.`, 'Type a number such as 120.');
  }
}
