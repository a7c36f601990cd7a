import { degree } from '../../../calibration/angle.ts';
import { exitCode, Failure } from '../../failure.ts';
import { gravityAtRest } from '../../live/gravityAtRest.ts';
import type { ShadowSeen } from '../../live/pinShadow.ts';
import type { Needles } from '../../live/session.ts';
import { minuteWords } from '../../sky/starlight.ts';
import { cautions } from '../../words/cautions.ts';
import { keepSunDeviation } from '../../store/deviation.ts';
import { judgeShadow, requireLikely, requireShadow, sunEstimate, type SunSight } from '../../steps/sunSight.ts';
import { instructionWords } from '../../words/instruction.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { modelInUse } from './liveStep.ts';
import { blankView } from './blankView.ts';
import { sided } from './giveOrTake.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';
import { texts } from './words/sun.ts';

interface Found {
  sight: SunSight;
  utc: Date;
  /** Azimuth error by the compass less the one by the Sun; undefined while the needles rest on the sky. */
  deviationRad: number | undefined;
}

/** By day: the azimuth of the axis from the shadow of a pin, and the deviation of the compass at this site. */
export class SunSheet implements SheetStep {
  readonly name = 'sun';
  private readonly night: Night;
  private found: Found | undefined;
  private said = '';

  constructor(night: Night) {
    this.night = night;
    night.onMoved(() => {
      this.found = undefined;
    });
  }

  view(): StepView {
    const practice = this.practice();
    const blank: StepView = {
      ...blankView(this.name, texts.title),
      cautions: [cautions.sun, cautions.shadow],
      toDo: [texts.begin, texts.turnFaceLevel, ...practice.toDo],
      howSure: texts.howFine,
      next: texts.atNight,
      fields: [{ name: 'shadow', label: texts.shadowLabel, value: '', hint: '132.5', number: 'signed' }],
      actions: [{ name: 'read', label: texts.readButton, isMain: true }, ...practice.actions],
      ...(practice.seen && { drawing: { kind: 'shadow', shadowDeg: practice.seen.shadowRad / degree } }),
    };
    if (!this.found) return blank;
    const { sight, deviationRad } = this.found;
    const { azimuthErrorRad, sigmaAzimuthRad } = sight;
    return {
      ...blank,
      status: 'done',
      figure: sided('azimuth', azimuthErrorRad, sigmaAzimuthRad).split(',')[0],
      toDo: [
        this.said || instructionWords('azimuth', azimuthErrorRad / degree, sigmaAzimuthRad / degree),
        texts.answerIncludesIt,
      ],
      measured: [
        { label: texts.azimuthLabel, value: sided('azimuth', azimuthErrorRad, sigmaAzimuthRad) },
        { label: texts.sunStood, value: texts.high((sight.sun.altitudeRad / degree).toFixed(1)) },
        ...(deviationRad === undefined
          ? []
          : [{ label: texts.compassAgainstSun, value: sided('azimuth', deviationRad, sigmaAzimuthRad) }]),
      ],
      actions: [...blank.actions, ...(deviationRad === undefined ? [] : [{ name: 'keep', label: texts.keepButton }])],
    };
  }

  async act({ action, fields }: StepRequest): Promise<void> {
    if (action === 'keep') await this.keep();
    else if (action === 'hands-level') await this.handsLevel();
    else if (action === 'hands-read') await this.handsRead();
    else await this.read(fields.shadow);
  }

  /** What a virtual mount shows of its Sun, and what its hands can do. */
  private practice(): Pick<StepView, 'toDo' | 'actions'> & { seen?: ShadowSeen } {
    const { virtual } = this.night.session;
    if (!virtual) return { toDo: [], actions: [] };
    const seen = virtual.pinShadow.see();
    return {
      seen,
      toDo: seen ? [texts.virtualSun(minuteWords(seen.utc), seen.isOtherHour)] : [texts.noShadowYet],
      actions: [
        { name: 'hands-level', label: texts.handsTurnButton, byHands: true },
        { name: 'hands-read', label: texts.handsReadButton, byHands: true },
      ],
    };
  }

  private async handsLevel(): Promise<void> {
    const { hands } = this.night;
    hands.turnAxis(0);
    await hands.whenDone();
  }

  private async handsRead(): Promise<void> {
    await this.handsLevel();
    const read = this.night.session.virtual?.pinShadow.read();
    if (!read) throw noShadow();
    await this.judge(read.shadowRad);
  }

  private async read(shadow: string | undefined): Promise<void> {
    const shadowDeg = shadow?.trim() ? Number(shadow) : NaN;
    if (!Number.isFinite(shadowDeg))
      throw new Failure(exitCode.usage, 'The angle of the shadow is missing.', 'Type its degrees, for example 132.5.');
    await this.judge(shadowDeg * degree);
  }

  private async judge(shadowRad: number): Promise<void> {
    const { session, site, carried } = this.night;
    const model = modelInUse(session);
    const utc = this.sunUtc();
    requireShadow(site, utc);
    const needles: Needles = await this.night.atRest();
    const accelG = await gravityAtRest(session, model);
    const sight = judgeShadow({ accelG, axisInBoard: model.axisInBoard, utc, shadowRad }, site);
    const deviationRad = carried.isCarrying ? undefined : needles.azimuthErrorRad - sight.azimuthErrorRad;
    requireLikely(deviationRad);
    this.found = { sight, utc, deviationRad };
    this.said = '';
    await this.night.noteCompass(needles);
    await this.night.believe(sunEstimate(sight));
  }

  /** The instant whose Sun throws the shadow. */
  private sunUtc(): Date {
    const { virtual } = this.night.session;
    if (!virtual) return this.night.now();
    const seen = virtual.pinShadow.see();
    if (!seen) throw noShadow();
    return seen.utc;
  }

  private async keep(): Promise<void> {
    const { sight, utc, deviationRad } = this.found ?? {};
    if (!sight || !utc || deviationRad === undefined) return;
    if (this.night.session.virtual !== undefined)
      throw new Failure(exitCode.usage, 'No deviation is saved for an invented scene.', 'Measure it at the real site.');
    const kept = await keepSunDeviation(this.night.site, deviationRad, sight.sigmaAzimuthRad, utc);
    if (!kept)
      throw new Failure(
        exitCode.usage,
        'This is not the saved site.',
        'Save this position in the first step, then repeat this one.',
      );
    this.found = { sight, utc, deviationRad: undefined };
    await this.night.moveTo(kept);
    this.said = texts.deviationSaved;
  }
}

const noShadow = (): Failure =>
  new Failure(
    exitCode.refused,
    'The virtual Sun casts no readable shadow on the face of the board.',
    'Let the hands turn its face level.',
  );
