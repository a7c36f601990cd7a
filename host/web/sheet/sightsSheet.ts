import { arcminute, degree } from '../../../calibration/angle.ts';
import { equatorialOf } from '../../../calibration/equatorial.ts';
import { exitCode, Failure } from '../../failure.ts';
import { placeOf } from '../../sky/place.ts';
import { parseSide } from '../../sky/sightsFile.ts';
import { sightsWords } from '../../sky/sightReport.ts';
import type { SightsOutcome } from '../../sky/sights.ts';
import { SightStep } from '../../sky/sightStep.ts';
import { requireStar } from '../../sky/stars.ts';
import { seenDirection } from '../../sky/visible.ts';
import { plainAngle } from '../../words/reading.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { gateWords, sided } from './figures.ts';
import { Gathering } from './gathering.ts';
import type { Night } from './night.ts';
import type { SheetStep } from './sheet.ts';

const handsSights = 4;
const readingLimitMs = 15_000;

/** Sights of stars: centred, timed and read by gravity; the answer becomes the zero of the needles. */
export class SightsSheet implements SheetStep {
  readonly name = 'sights';
  readonly #night: Night;
  #gathering: Gathering<SightStep> | undefined;
  #outcome: SightsOutcome | undefined;
  #count = 0;

  constructor(night: Night) {
    this.#night = night;
  }

  view(): StepView {
    const blank = {
      ...blankView(this.name, 'Sights of stars'),
      cautions: ['Never look at or near the Sun through any instrument, finder included; cap both by day.'],
      howSure: 'Four sights, on both sides of the mount, know the pole to a few arcminutes; the compass cannot.',
    };
    const hands = this.#night.session.centreStar
      ? [{ name: 'hands', label: `Hands take ${handsSights} sights`, byHands: true }]
      : [];
    const step = this.#gathering?.step;
    if (step) {
      const { count, isReading, instruction } = step.progress();
      return {
        ...blank,
        status: 'under way',
        figure: count === 1 ? '1 sight' : `${count} sights`,
        toDo: [instruction],
        measured: step.sights().map(({ star, side, utc }) => ({
          label: `${star.name}, tube ${side}`,
          value: `${utc.toISOString().slice(11, 19)} UTC`,
        })),
        fields: [
          { name: 'star', label: 'Another star than the one told', value: '', hint: 'Vega, alpha Lyr or HIP 91262' },
          { name: 'side', label: 'Another side', value: '', hint: 'west or east' },
        ],
        actions: isReading
          ? []
          : [
              { name: 'take', label: 'It is centred' },
              ...(count > 0
                ? [
                    { name: 'undo', label: 'Undo' },
                    { name: 'finish', label: 'Finish' },
                  ]
                : []),
              { name: 'cancel', label: 'Give up' },
            ],
      };
    }
    const actions = [{ name: 'start', label: this.#outcome ? 'Begin again' : 'Start' }, ...hands];
    if (this.#outcome) return { ...blank, ...resultView(this.#outcome, this.#count), actions };
    return {
      ...blank,
      toDo: [
        'Centre a star that you can name, take the hands off, and press the button: gravity is read for a second.',
        'The program names the star that tells most, among those that can be seen.',
      ],
      next: 'The needles take the answer as their zero: nudge again.',
      actions,
    };
  }

  async act({ action, fields }: StepRequest): Promise<void> {
    const step = this.#gathering?.step;
    if (action === 'take') this.#take(fields.star, fields.side);
    else if (action === 'undo') step?.undo();
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
    const model = session.axisModel?.();
    if (!model) throw new Failure(exitCode.usage, 'The board has not answered yet.', 'Wait for the needles.');
    const needles = await this.#night.atRest();
    this.close();
    this.#gathering = new Gathering(session, new SightStep(model, site, needles));
  }

  #take(typedStar: string | undefined, typedSide: string | undefined): void {
    const step = this.#gathering?.step;
    const star = typedStar?.trim() || step?.recommendation()?.star.name;
    if (!star) throw new Failure(exitCode.usage, 'No star is recommended now.', 'Type the name of the star.');
    step?.press(requireStar(star).name, new Date(), typedSide?.trim() ? parseSide(typedSide) : undefined);
  }

  async #byHands(): Promise<void> {
    const { session, site } = this.#night;
    for (let count = 0; count < handsSights; count += 1) {
      const step = this.#gathering?.step;
      const next = step?.recommendation();
      if (!step || !next || !session.centreStar) break;
      const placeAt = (utc: Date) =>
        equatorialOf(seenDirection(placeOf({ kind: 'star', star: next.star }, site, utc)), site.latitudeRad);
      await session.centreStar(placeAt, next.side);
      step.press(next.star.name, new Date(), next.side);
      await this.#read(step);
    }
    await this.#finish();
  }

  /** Waits until the still second after the key is over. */
  async #read(step: SightStep): Promise<void> {
    const limitMs = performance.now() + readingLimitMs;
    while (step.progress().isReading && performance.now() < limitMs) await new Promise((done) => setTimeout(done, 50));
  }

  /** What passed becomes the zero of the needles. */
  async #finish(): Promise<void> {
    const step = this.#gathering?.step;
    if (!step) return;
    this.#outcome = step.finish();
    this.#count = step.sights().length;
    this.close();
    const { fit, gates } = this.#outcome;
    if (fit && gates.length === 0) await this.#night.believe({ kind: 'sights', utcMs: Date.now(), ...fit });
  }
}

function resultView(outcome: SightsOutcome, count: number): Partial<StepView> {
  const { fit, gates, sigmaRad } = outcome;
  const words = sightsWords(outcome, count);
  return {
    status: fit && gates.length === 0 ? 'done' : 'refused',
    figure: `known to ${(sigmaRad / arcminute).toFixed(1)}′`,
    toDo: gates.length > 0 ? gates.map(gateWords) : [words[words.length - 1], ...outcome.remarks],
    measured: fit
      ? [
          { label: 'Azimuth', value: sided('azimuth', fit.azimuthErrorRad, Math.sqrt(fit.axisCovariance[3])) },
          { label: 'Altitude', value: sided('altitude', fit.altitudeErrorRad, Math.sqrt(fit.axisCovariance[0])) },
          { label: 'Sights', value: `${count}` },
        ]
      : [],
    howSure: `On the sky the axis is known to ${plainAngle((2 * sigmaRad) / degree, (2 * sigmaRad) / degree)}, 19 times in 20.`,
    next: 'The needles show this from now on: nudge again, or watch the drift of a star.',
  };
}
