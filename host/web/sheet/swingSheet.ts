import { degree } from '../../../calibration/angle.ts';
import { decisive } from '../../../calibration/gate.ts';
import type { SwingCircle, SwingResult } from '../../../calibration/swing/types.ts';
import { norm } from '../../../calibration/vector.ts';
import { saveSwing } from '../../store/profile.ts';
import { SwingStep } from '../../steps/swingStep.ts';
import { swingSite } from '../../steps/swingSite.ts';
import { plainAngle } from '../../words/reading.ts';
import type { Drawing, StepRequest, StepView } from '../messages.ts';
import { blankView, rehearsedWords } from './blankView.ts';
import { gateWords, sided, sized } from './figures.ts';
import { Gathering } from './gathering.ts';
import type { Night } from './night.ts';
import type { SheetStep } from './sheet.ts';

/** The swing of the axis: rests at several places, the two circles they make, and the errors that follow. */
export class SwingSheet implements SheetStep {
  readonly name = 'swing';
  readonly #night: Night;
  #gathering: Gathering<SwingStep> | undefined;
  #result: SwingResult | undefined;

  constructor(night: Night) {
    this.#night = night;
  }

  view(): StepView {
    const blank = {
      ...blankView(this.name, 'Swing'),
      cautions: ['Hold the tube when a clutch is released, and keep the counterweight clear of the tripod.'],
    };
    const progress = this.#gathering?.step.progress();
    if (progress)
      return {
        ...blank,
        status: 'under way',
        figure: `${progress.dwells} rests, ${progress.arcDeg.toFixed(0)}°`,
        toDo: [progress.instruction],
        measured: [
          { label: 'Rests', value: `${progress.dwells}${progress.face > 1 ? ', end for end' : ''}` },
          { label: 'Way turned', value: `${progress.arcDeg.toFixed(0)}°` },
        ],
        howSure:
          progress.sigmaMagneticAzimuthDeg === undefined || progress.sigmaAltitudeDeg === undefined
            ? 'Four rests give a first fit.'
            : `So far: altitude give or take ${plainAngle(2 * progress.sigmaAltitudeDeg, 2 * progress.sigmaAltitudeDeg)}, magnetic azimuth give or take ${plainAngle(2 * progress.sigmaMagneticAzimuthDeg, 2 * progress.sigmaMagneticAzimuthDeg)}.`,
        next: progress.isEnough ? 'Finish, or turn the board end for end for a better altitude.' : '',
        actions: [
          { name: 'finish', label: 'Finish' },
          ...(progress.face === 1 ? [{ name: 'reversed', label: 'It is end for end' }] : []),
          { name: 'cancel', label: 'Give up' },
        ],
        drawing: circlesOf(progress.gravityCircle, progress.fieldCircle),
      };
    const actions = [
      { name: 'start', label: this.#result ? 'Swing again' : 'Start' },
      ...(this.#night.session.hands ? [{ name: 'hands', label: 'Hands swing the axis', byHands: true }] : []),
    ];
    if (this.#result) return { ...blank, ...resultView(this.#result), actions };
    return {
      ...blank,
      figure: this.#night.session.isVirtual ? 'rehearsed' : '',
      toDo: [
        ...rehearsedWords(this.#night.session),
        'Clip the board to the part that turns, then turn the right-ascension axis in steps and let it rest at each.',
        'Ninety degrees and up will do; the further round, the surer.',
      ],
      howSure: 'The clip need not be square, and iron that turns with the axis drops out.',
      next: 'Nudge the bolts by the needles.',
      actions,
    };
  }

  async act({ action }: StepRequest): Promise<void> {
    if (action === 'reversed') this.#gathering?.step.turnEndForEnd();
    else if (action === 'finish') await this.#finish();
    else if (action === 'cancel') this.close();
    else {
      await this.#start();
      if (action === 'hands') await this.#byHands();
    }
  }

  close(): void {
    this.#gathering?.end();
    this.#gathering = undefined;
  }

  async #start(): Promise<void> {
    const { session, site } = this.#night;
    const calibration = await this.#night.calibrationToUse();
    this.close();
    this.#gathering = new Gathering(session, new SwingStep(calibration, { site: swingSite(site, new Date()) }));
  }

  async #byHands(): Promise<void> {
    const { hands } = this.#night;
    hands.clip();
    hands.swing({ dwells: 10 });
    await hands.whenDone();
    await this.#finish();
  }

  async #finish(): Promise<void> {
    const result = this.#gathering?.step.finish();
    this.close();
    if (!result) return;
    this.#result = result;
    if (!result.accepted) return;
    const { session, site, hello } = this.#night;
    session.useAxisModel?.(result.axisModel, 'Axis from the swing just made.');
    if (!session.isVirtual) await saveSwing(hello, site, result, { temperatureC: session.latest()?.temperatureC });
  }
}

function circlesOf(gravity: SwingCircle | undefined, field: SwingCircle | undefined): Drawing | undefined {
  if (!gravity || !field) return undefined;
  return { kind: 'circles', circles: [inRadii('gravity', gravity), inRadii('field', field)] };
}

/** In units of the radius, so that both circles can be drawn alike. */
function inRadii(label: string, { points, centre, radius }: SwingCircle) {
  const share = ([x, y]: readonly [number, number]): [number, number] => [
    Number((x / radius).toFixed(3)),
    Number((y / radius).toFixed(3)),
  ];
  return { label, points: points.map(share), fit: { centre: share(centre), radius: 1 } };
}

function resultView(result: SwingResult): Partial<StepView> {
  const gate = decisive(result.gates);
  const { errors, errorCovariance } = result;
  const sigma = (index: number): number => Math.sqrt(errorCovariance?.[index] ?? 0);
  return {
    status: result.accepted ? 'done' : 'refused',
    figure: errors
      ? `${plainAngle(errors.distanceRad / degree, (2 * (result.sigmaDistanceRad ?? 0)) / degree)} off`
      : '',
    toDo: [
      gate ? gateWords(gate) : 'The axis is found. The needles use it from now on; leave the board as it is clipped.',
    ],
    measured: [
      ...(errors
        ? [
            { label: 'Azimuth', value: sided('azimuth', errors.azimuthErrorRad, sigma(3)) },
            { label: 'Altitude', value: sided('altitude', errors.altitudeErrorRad, sigma(0)) },
          ]
        : []),
      { label: 'Way turned', value: `${(result.arcRad / degree).toFixed(0)}°, ${result.rollRad.length} rests` },
      { label: 'Rests about the axis', value: `${plainAngle(result.spreadRad / degree, 0.02)} rms` },
      {
        label: 'Iron that turns with the axis',
        value: `${(norm(result.turnAlongIronNt) / 1000).toFixed(1)} µT, taken out`,
      },
    ],
    howSure: errors
      ? `From the pole: ${sized(errors.distanceRad, result.sigmaDistanceRad ?? 0)}. Most of it is the magnetic model's own.`
      : '',
    next: result.accepted ? 'Nudge the bolts by the needles.' : 'Swing again.',
    drawing: circlesOf(result.gravityCircle, result.fieldCircle),
  };
}
