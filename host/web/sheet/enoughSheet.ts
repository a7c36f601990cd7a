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
import { capital } from '../../words/capital.ts';
import { chanceWords } from '../../words/chance.ts';
import { plainAngle } from '../../words/reading.ts';
import type { Field, StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';
import { texts } from './words/enough.ts';

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
      ...blankView(this.name, texts.title),
      toDo: [texts.typePlan],
      howSure: texts.includesUncertainty,
      fields: [
        field('exposure', texts.exposureLabel, '120'),
        field('focal', texts.focalLabel, '400'),
        field('pixel', texts.pixelLabel, '3.8'),
        field('dec', texts.declinationLabel, texts.declinationHint),
        field('field', texts.fieldLabel, '50'),
        field('minutes', texts.minutesLabel, '20'),
      ],
      actions: [{ name: 'ask', label: texts.judgeButton }],
    };
    if (!this.answer) return blank;
    const { verdict, chance, allowedRad, distanceRad, plan } = this.answer;
    return {
      ...blank,
      status: 'done',
      figure: verdict,
      toDo: [
        texts.verdict(capital(verdict), plan),
        texts.allowed(plainAngle(allowedRad / degree, 0.01), plainAngle(distanceRad / degree, 0.05)),
      ],
      howSure: capital(texts.chance(chanceWords(chance))),
      next: verdict === 'good enough' ? texts.observe : texts.improve,
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
    await log.noteStep('enough', texts.thePlan(plan));
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
      return { allowedRad: distanceRad, plan: texts.photographPlan(exposureS, focalMm) };
    }
    if (!field?.trim())
      throw new Failure(exitCode.usage, 'The plan is missing.', 'Type it for a photograph or for the eye.');
    const [fieldArcmin, minutes] = ['field', 'minutes'].map((name) => this.positive(name));
    return {
      allowedRad: allowedForEyepiece(fieldArcmin * arcminute, minutes * 60),
      plan: texts.eyePlan(minutes, fieldArcmin),
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
