import { degree } from '../../../calibration/angle.ts';
import { decisive } from '../../../calibration/gate.ts';
import { cautions } from '../../words/cautions.ts';
import type { SwingCircle, SwingOptions, SwingResult } from '../../../calibration/swing/types.ts';
import type { TumbleCalibration } from '../../../calibration/tumble/types.ts';
import { norm } from '../../../calibration/vector.ts';
import { saveSwing } from '../../store/profile.ts';
import { reverseByHands, ReversalStep, seatWords, type ReversalProgress } from '../../steps/reversalStep.ts';
import { standingIronWords } from '../../steps/swingReport.ts';
import { SwingStep, type SwingProgress } from '../../steps/swingStep.ts';
import { swingSite } from '../../site/swingSite.ts';
import { bandSigmas, plainAngle } from '../../words/reading.ts';
import type { Drawing, StepRequest, StepView } from '../messages.ts';
import { blankView, rehearsedWords } from './blankView.ts';
import { gateWords, sided, sized } from './giveOrTake.ts';
import { cancelAction, finishAction, GatheringSheet } from './gatheringSheet.ts';
import type { Night } from './nightAtPage.ts';
import { texts } from './words/swing.ts';

/**
 * The swing of the axis: rests at several places, the two circles they make, and the errors that follow. Where the board can
 * only sit on a part that does not turn, a rest each way round in its clip stands in for it.
 */
export class SwingSheet extends GatheringSheet<SwingStep | ReversalStep> {
  readonly name = 'swing';
  private made: SwingStep | ReversalStep | undefined;
  private result: SwingResult | undefined;

  constructor(night: Night) {
    super(night);
    night.onMoved(() => this.judgeAnew());
  }

  view(): StepView {
    const { step } = this;
    if (step instanceof SwingStep) return { ...blank, ...turningView(step.progress()) };
    if (step) return { ...blank, ...fixedView(step.progress()) };
    const { session } = this.night;
    const actions = this.beginnings(this.result ? texts.againButton : texts.startButton, texts.handsButton);
    if (session.virtual === undefined) actions.push({ name: 'fixed', label: texts.fixedButton });
    else if (session.virtual.hands) actions.push({ name: 'hands-fixed', label: texts.handsFixedButton, byHands: true });
    if (this.result) return { ...blank, ...resultView(this.result, this.made, this.isPractisedOnSeat), actions };
    return {
      ...blank,
      figure: session.virtual !== undefined ? 'rehearsed' : '',
      toDo: [
        ...rehearsedWords(session),
        texts.turnInSteps,
        texts.turnFar,
        session.virtual !== undefined ? texts.handsCanFix : texts.noRoom,
      ],
      howSure: texts.whatCancels,
      next: texts.thenNudge,
      actions,
    };
  }

  protected async begin(action: string): Promise<SwingStep | ReversalStep> {
    const [calibration, options] = await this.basis();
    return action.endsWith('fixed') ? new ReversalStep(calibration, options) : new SwingStep(calibration, options);
  }

  protected override press({ action }: StepRequest): boolean {
    if (action !== 'reversed') return false;
    this.step?.turnEndForEnd();
    return true;
  }

  protected async byHands(): Promise<void> {
    const { hands } = this.night;
    const { step } = this;
    if (step instanceof ReversalStep) {
      hands.seat();
      await reverseByHands(step, hands);
    } else {
      hands.clip();
      hands.swing({ dwells: 10 });
      await hands.whenDone();
    }
    await this.finish();
    if (step instanceof ReversalStep) hands.clip();
  }

  protected async conclude(result: SwingResult, step: SwingStep | ReversalStep): Promise<void> {
    this.made = step;
    await this.use(result, texts.axisFromSwing);
  }

  private async basis(): Promise<[TumbleCalibration, SwingOptions]> {
    const calibration = await this.night.calibrationToUse();
    return [calibration, { site: swingSite(this.night.site, new Date()) }];
  }

  /** The hands put the board back on its clip, where that axis is not its own. */
  private get isPractisedOnSeat(): boolean {
    return this.made instanceof ReversalStep && this.night.session.virtual !== undefined;
  }

  /** The rests are the same, but another site has another pole, variation and dip. */
  private async judgeAnew(): Promise<void> {
    if (this.step) this.step.judgeBy(...(await this.basis()));
    if (!this.made) return;
    this.made.judgeBy(...(await this.basis()));
    await this.use(this.made.finish(), texts.axisRecalculated);
  }

  private async use(result: SwingResult, note: string): Promise<void> {
    this.result = result;
    if (!result.accepted || this.isPractisedOnSeat) return;
    const { session, site, hello } = this.night;
    session.useAxisModel(result.axisModel, note);
    if (session.virtual !== undefined) return this.night.carried.log.noteStep('swing', texts.noted);
    const { clipping } = session;
    await saveSwing(hello, site, result, { ...clipping, temperatureC: session.latest()?.temperatureC });
  }
}

const blank: StepView = {
  ...blankView('swing', texts.title),
  cautions: [cautions.clutch, cautions.counterweight],
};

function turningView(progress: SwingProgress): Partial<StepView> {
  const { dwells, leftOut, face, arcDeg, sigmaAltitudeDeg, sigmaMagneticAzimuthDeg } = progress;
  const band = (sigmaDeg: number): string => plainAngle(bandSigmas * sigmaDeg, bandSigmas * sigmaDeg);
  return {
    status: 'under way',
    figure: texts.rests(dwells, arcDeg.toFixed(0)),
    toDo: [progress.instruction],
    measured: [
      { label: texts.restsLabel, value: texts.restsFace(dwells, face > 1) },
      { label: texts.turnedLabel, value: `${arcDeg.toFixed(0)}°` },
      ...(leftOut > 0 ? [{ label: texts.leftOutLabel, value: texts.leftOut(leftOut) }] : []),
    ],
    howSure:
      sigmaMagneticAzimuthDeg === undefined || sigmaAltitudeDeg === undefined
        ? texts.fourRests
        : texts.soFar(band(sigmaAltitudeDeg), band(sigmaMagneticAzimuthDeg)),
    next: progress.isEnough ? texts.finishOrReverse : '',
    actions: [finishAction, ...(face === 1 ? [endForEndAction] : []), cancelAction],
    drawing: circlesOf(progress.gravityCircle, progress.fieldCircle),
  };
}

const endForEndAction = { name: 'reversed', label: texts.reversedButton };

const fixedView = ({ isEndForEnd, instruction }: ReversalProgress): Partial<StepView> => ({
  status: 'under way',
  figure: isEndForEnd ? texts.secondWay : texts.firstWay,
  toDo: [instruction, texts.leaveAxis],
  howSure: seatWords,
  actions: [isEndForEnd ? finishAction : endForEndAction, cancelAction],
});

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

function resultView(
  result: SwingResult,
  step: SwingStep | ReversalStep | undefined,
  isPractice: boolean,
): Partial<StepView> {
  const gate = decisive(result.gates);
  const isFixed = step instanceof ReversalStep;
  const { errorCovariance } = result;
  const errors = result.accepted ? result.errors : undefined;
  const sigma = (index: number): number => Math.sqrt(errorCovariance?.[index] ?? 0);
  return {
    status: result.accepted ? 'done' : 'refused',
    figure: errors
      ? texts.off(plainAngle(errors.distanceRad / degree, (2 * (result.sigmaDistanceRad ?? 0)) / degree))
      : '',
    toDo: [gate ? gateWords(gate) : isPractice ? texts.practised : texts.found],
    measured: [
      ...(errors
        ? [
            { label: texts.azimuth, value: sided('azimuth', errors.azimuthErrorRad, sigma(3)) },
            { label: texts.altitude, value: sided('altitude', errors.altitudeErrorRad, sigma(0)) },
          ]
        : []),
      ...(isFixed ? [] : turnedRows(result)),
    ],
    howSure: errors
      ? isFixed
        ? texts.fromPoleOnSeat(sized(errors.distanceRad, result.sigmaDistanceRad ?? 0), seatWords)
        : texts.fromPole(sized(errors.distanceRad, result.sigmaDistanceRad ?? 0), standingIronWords)
      : '',
    next: result.accepted ? texts.thenNudgeSeat(isFixed) : texts.swingAgain,
    drawing: isFixed ? undefined : circlesOf(result.gravityCircle, result.fieldCircle),
  };
}

const turnedRows = (result: SwingResult): StepView['measured'] => [
  { label: texts.turnedLabel, value: texts.turned((result.arcRad / degree).toFixed(0), result.rollRad.length) },
  { label: texts.scatterLabel, value: texts.scatter(plainAngle(result.spreadRad / degree, 0.02)) },
  {
    label: texts.ironLabel,
    value: texts.iron((norm(result.turnAlongIronNt) / 1000).toFixed(1)),
  },
];
