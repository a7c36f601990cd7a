import { degree } from '../../../calibration/angle.ts';
import { correct } from '../../../calibration/correction.ts';
import { add, normalise, type Vector3 } from '../../../calibration/vector.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { Needles } from '../../live/session.ts';
import { placeOf } from '../../sky/place.ts';
import { cautions } from '../../words/cautions.ts';
import { keepSunDeviation } from '../../store/deviation.ts';
import { judgeShadow, sunEstimate, type SunSight } from '../../steps/sunSight.ts';
import { targetNamed } from '../../sky/target.ts';
import { instructionWords } from '../../words/instruction.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { modelInUse } from './liveStep.ts';
import { blankView } from './blankView.ts';
import { sided } from './giveOrTake.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';

const stillMs = 1000;

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
    const blank: StepView = {
      ...blankView(this.name, 'Sun by shadow'),
      cautions: [cautions.sun, cautions.shadow],
      toDo: [
        'By day, stand a pin square on the face of the board. Read the angle of its shadow, from the x arrow toward the y arrow.',
        'Turn the axis so that the face of the board lies about level.',
      ],
      howSure:
        'A shadow read to half a degree gives the azimuth about as well as the compass, and iron does not disturb it.',
      next: 'At night, sights of stars are ten times better.',
      fields: [{ name: 'shadow', label: 'The shadow falls at, degrees', value: '', hint: '132.5', number: 'signed' }],
      actions: [{ name: 'read', label: 'Read it now' }],
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
        'The answer of the night includes it.',
      ],
      measured: [
        { label: 'Azimuth by the Sun', value: sided('azimuth', azimuthErrorRad, sigmaAzimuthRad) },
        { label: 'The Sun stood', value: `${(sight.sun.altitudeRad / degree).toFixed(1)}° high` },
        ...(deviationRad === undefined
          ? []
          : [{ label: 'Compass against the Sun', value: sided('azimuth', deviationRad, sigmaAzimuthRad) }]),
      ],
      actions: [
        ...blank.actions,
        ...(deviationRad === undefined ? [] : [{ name: 'keep', label: 'Keep this deviation for the site' }]),
      ],
    };
  }

  async act({ action, fields }: StepRequest): Promise<void> {
    if (action === 'keep') await this.keep();
    else await this.read(fields.shadow);
  }

  private async read(shadow: string | undefined): Promise<void> {
    const shadowDeg = shadow?.trim() ? Number(shadow) : NaN;
    if (!Number.isFinite(shadowDeg))
      throw new Failure(exitCode.usage, 'The angle of the shadow is missing.', 'Type its degrees, for example 132.5.');
    const { session, site, carried } = this.night;
    const model = modelInUse(session);
    const utc = this.night.now();
    if (placeOf(targetNamed('sun'), site, utc).altitudeRad < 0)
      throw new Failure(exitCode.usage, 'The Sun is below the horizon.', 'Take sights of stars.');
    const needles: Needles = await this.night.atRest();
    let sum: Vector3 = [0, 0, 0];
    const stop = session.onSample(({ accelG }) => {
      sum = add(sum, correct(model.correction.accelerometer, accelG));
    });
    await new Promise((resolve) => setTimeout(resolve, stillMs));
    stop();
    const { axisInBoard } = model;
    const sight = judgeShadow({ accelG: normalise(sum), axisInBoard, utc, shadowRad: shadowDeg * degree }, site);
    const deviationRad = carried.isCarrying ? undefined : needles.azimuthErrorRad - sight.azimuthErrorRad;
    this.found = { sight, utc, deviationRad };
    this.said = '';
    await this.night.noteCompass(needles);
    await this.night.believe(sunEstimate(sight));
  }

  private async keep(): Promise<void> {
    const { sight, utc, deviationRad } = this.found ?? {};
    if (!sight || !utc || deviationRad === undefined) return;
    if (this.night.session.virtual !== undefined)
      throw new Failure(exitCode.usage, 'An invented scene keeps no deviation.', 'Measure it at the real site.');
    const kept = await keepSunDeviation(this.night.site, deviationRad, sight.sigmaAzimuthRad, utc);
    if (!kept)
      throw new Failure(
        exitCode.usage,
        'This is not the saved site.',
        'Save this position in the first step, then repeat this one.',
      );
    this.found = { sight, utc, deviationRad: undefined };
    await this.night.moveTo(kept);
    this.said = 'The deviation is saved with the site. The compass goes by it from now on.';
  }
}
