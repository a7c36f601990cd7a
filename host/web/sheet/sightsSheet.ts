import { degree } from '../../../calibration/angle.ts';
import { exitCode, Failure } from '../../failure.ts';
import { parseSide } from '../../steps/sightsFile.ts';
import { sightsWords } from '../../steps/sightReport.ts';
import type { NextStar, SightsOutcome, TimedSight } from '../../steps/sights.ts';
import { SightStep } from '../../steps/sightStep.ts';
import { requireStar } from '../../sky/stars.ts';
import { starPlace } from '../../practice/watchByEye.ts';
import { cautions } from '../../words/cautions.ts';
import { plainAngle } from '../../words/reading.ts';
import type { Drawing, StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { axisRows, gateWords } from './giveOrTake.ts';
import { LiveStep, modelInUse } from './liveStep.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';
import { skylineOf } from './skyline.ts';
import { texts } from './words/sights.ts';

const handsSights = 6;
const readingLimitMs = 15_000;

/** Sights of stars: centred, timed and read by gravity; the answer becomes the zero of the needles. */
export class SightsSheet implements SheetStep {
  readonly name = 'sights';
  private readonly night: Night;
  private gathering: LiveStep<SightStep> | undefined;
  private outcome: SightsOutcome | undefined;
  private count = 0;
  isLedByHands = false;
  private running: { taken: TimedSight; outcome: SightsOutcome } | undefined;

  constructor(night: Night) {
    this.night = night;
    night.carried.onNudged((before, after) => this.gathering?.step.nudged(before, after));
    night.onMoved(() => {
      this.close();
      this.outcome = undefined;
    });
  }

  view(): StepView {
    const blank = {
      ...blankView(this.name, texts.title),
      cautions: [cautions.sun, ...this.night.sunWords(), cautions.clutch, cautions.rules],
      howSure: texts.begin,
    };
    const hands = this.night.session.virtual?.eyepiece
      ? [{ name: 'hands', label: texts.handsButton(handsSights), byHands: true }]
      : [];
    const step = this.gathering?.step;
    if (step) {
      const { count, isReading, instruction } = step.progress();
      return {
        ...blank,
        status: 'under way',
        figure: count === 1 ? texts.oneSight : texts.sights(count),
        toDo: starFirst(instruction),
        ...this.runningView(step),
        fields: [
          {
            name: 'star',
            label: texts.otherStarLabel,
            value: '',
            hint: texts.starHint,
          },
          { name: 'side', label: texts.otherSideLabel, value: '', hint: texts.sideHint },
        ],
        actions: isReading
          ? []
          : [
              { name: 'take', label: texts.centredButton, isMain: true },
              ...(count > 0
                ? [
                    { name: 'undo', label: texts.undoButton },
                    { name: 'finish', label: texts.finishButton },
                  ]
                : []),
              { name: 'cancel', label: texts.giveUpButton },
            ],
      };
    }
    const actions = [{ name: 'start', label: this.outcome ? texts.againButton : texts.startButton }, ...hands];
    if (this.outcome)
      return { ...blank, ...resultView(this.outcome, this.count, this.night.site.latitudeRad), actions };
    return {
      ...blank,
      toDo: [texts.howToTake, texts.namesBestStar],
      next: texts.needlesTakeIt,
      actions,
    };
  }

  async act({ action, fields }: StepRequest): Promise<void> {
    const step = this.gathering?.step;
    if (action === 'take') this.take(fields.star, fields.side);
    else if (action === 'undo') step?.undo();
    else if (action === 'finish') await this.finish();
    else if (action === 'cancel') this.close();
    else {
      await this.start();
      if (action === 'hands') await this.byHands();
    }
  }

  close(): void {
    this.gathering?.end();
    this.gathering = undefined;
  }

  /** What was measured before is known to the first sight: by the compass, or by the sky. */
  private async start(): Promise<void> {
    const { session, site, carried } = this.night;
    const model = modelInUse(session);
    const needles = await this.night.atRest();
    this.close();
    await this.night.noteCompass(needles);
    const step = new SightStep(model, site, carried.known() ?? needles, () => this.night.now());
    this.gathering = new LiveStep(session, step);
  }

  private take(typedStar: string | undefined, typedSide: string | undefined): void {
    const step = this.gathering?.step;
    const star = typedStar?.trim() || step?.recommendation()?.star.name;
    if (!star) throw new Failure(exitCode.usage, 'No star is recommended now.', 'Type the name of the star.');
    step?.press(requireStar(star).name, this.night.now(), typedSide?.trim() ? parseSide(typedSide) : undefined);
  }

  /** What the sights so far say; recalculated with each. */
  private runningView(step: SightStep): Partial<StepView> {
    const taken = step.sights();
    const last = taken.at(-1);
    if (!last) return { drawing: this.skyline(taken, step.recommendation()) };
    const running = this.running?.taken === last ? this.running : { taken: last, outcome: step.finish() };
    this.running = running;
    const { outcome } = running;
    const { fit, gates, helps, sigmaRad } = outcome;
    return {
      drawing: this.skyline(taken, step.recommendation()),
      measured: [
        ...(fit ? axisRows(fit) : []),
        ...taken.map(({ star, side, utc }) => ({
          label: texts.starSide(star.name, side),
          value: `${utc.toISOString().slice(11, 19)} UTC`,
        })),
      ],
      howSure: texts.soFar(bandOf(sigmaRad)),
      next: gates.length > 0 ? gates.map(gateWords).join(' ') : helps ? texts.oneMoreHelps : texts.noMoreHelps,
    };
  }

  private skyline(taken: readonly TimedSight[], next: NextStar | undefined): Drawing {
    const { site } = this.night;
    return skylineOf(
      site,
      taken.map(({ star, utc }) => ({ star, utc })),
      next && { star: next.star, utc: this.night.now() },
    );
  }

  private async byHands(): Promise<void> {
    const { session, site } = this.night;
    const eyepiece = session.virtual?.eyepiece;
    this.isLedByHands = true;
    try {
      for (let count = 0; count < handsSights; count += 1) {
        const step = this.gathering?.step;
        const next = step?.recommendation();
        if (!step || !next || !eyepiece) break;
        await eyepiece.centre(starPlace(next.star, site), next.side);
        step.press(next.star.name, eyepiece.pressUtc(), next.side);
        await this.read(step);
      }
      await this.finish();
    } finally {
      this.isLedByHands = false;
    }
  }

  /** Waits until the still second after the key is over. */
  private async read(step: SightStep): Promise<void> {
    const limitMs = performance.now() + readingLimitMs;
    while (step.progress().isReading && performance.now() < limitMs) await new Promise((done) => setTimeout(done, 50));
  }

  /** What passed becomes the zero of the needles. */
  private async finish(): Promise<void> {
    const step = this.gathering?.step;
    if (!step) return;
    this.outcome = step.finish();
    this.count = step.sights().length;
    this.close();
    const { fit, gates } = this.outcome;
    if (!fit || gates.length > 0) return;
    await this.night.believe(
      {
        kind: 'sights',
        altitudeErrorRad: fit.altitudeErrorRad,
        azimuthErrorRad: fit.azimuthErrorRad,
        axisCovariance: fit.axisCovariance,
      },
      { replacesEarlier: true, words: texts.noted(this.count, starNames(step)) },
    );
  }
}

/** The star to centre stands first; what is to be said of the sights before follows. */
function starFirst(instruction: string): string[] {
  const at = instruction.lastIndexOf('Centre ');
  return at > 0 ? [instruction.slice(at), instruction.slice(0, at).trim()] : [instruction];
}

const starNames = (step: SightStep): string => [...new Set(step.sights().map(({ star }) => star.name))].join(', ');

const bandOf = (sigmaRad: number): string => plainAngle((2 * sigmaRad) / degree, (2 * sigmaRad) / degree);

function resultView(outcome: SightsOutcome, count: number, latitudeRad: number): Partial<StepView> {
  const { fit, gates, sigmaRad } = outcome;
  const words = sightsWords(outcome, count, latitudeRad);
  return {
    status: fit && gates.length === 0 ? 'done' : 'refused',
    figure: texts.uncertainBy(bandOf(sigmaRad)),
    toDo: gates.length > 0 ? gates.map(gateWords) : [words[words.length - 1], ...outcome.remarks],
    measured: fit ? [...axisRows(fit), { label: texts.sightsLabel, value: `${count}` }] : [],
    howSure: texts.uncertainty(bandOf(sigmaRad)),
    next: texts.needlesShowIt,
  };
}
