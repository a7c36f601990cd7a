import { needleStepRad } from '../../calibration/answer.ts';
import { correct } from '../../calibration/correction.ts';
import type { AxisModel } from '../../calibration/axisModel.ts';
import type { Anchor } from '../../calibration/live/estimator.ts';
import {
  roughPrior,
  sigmaOfLevel,
  sigmaRoundRad,
  usualSigmas,
  type SightPrior,
} from '../../calibration/sight/sightPrior.ts';
import { levelOf, rollOf, sideWithCounterweightBelow, type Side } from '../../calibration/sight/sightModel.ts';
import { add, angleBetweenRad, scale, type Vector3 } from '../../calibration/vector.ts';
import { degree } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../failure.ts';
import type { BoardSample } from '../link/boardSample.ts';
import type { Needles } from '../live/session.ts';
import type { Site } from '../site/site.ts';
import type { Step } from './step.ts';
import { placeOf } from '../sky/place.ts';
import { judgeNight, nextStars, type NextStar, type SightsOutcome, type TimedSight } from './sights.ts';
import { requireStarlight } from '../sky/mayTake.ts';
import { noStarWords, starlight } from '../sky/starlight.ts';
import { starNamed, type Star } from '../sky/stars.ts';
import { texts } from './words/sight.ts';

/** What is known before the first sight: by gravity and compass from the needles, by the swing of the board's own errors. */
export const priorOf = (model: AxisModel, site: Site, needles?: Anchor): SightPrior => ({
  ...roughPrior,
  ...(needles && {
    altitudeError: { valueRad: needles.altitudeErrorRad, sigmaRad: needles.sigmaAltitudeErrorRad },
    azimuthError: { valueRad: needles.azimuthErrorRad, sigmaRad: needles.sigmaAzimuthErrorRad },
  }),
  sigmaRoundRad: sigmaRoundRad(model.sigmaAltitudeRad, model.sigmaAltitudeRad, site.latitudeRad),
});

/** What gravity tells during a sight: the roll, and the level of the axis. */
export const gravityRead = (
  upG: Vector3,
  { axisInBoard, sigmaAltitudeRad }: AxisModel,
  { latitudeRad }: Site,
): Pick<TimedSight, 'rollRad' | 'level'> => ({
  rollRad: rollOf(upG, axisInBoard, latitudeRad),
  level: {
    altitudeRad: levelOf(upG, axisInBoard),
    sigmaRad: sigmaOfLevel(usualSigmas, sigmaAltitudeRad, sigmaAltitudeRad),
  },
});

interface SightProgress {
  count: number;
  /** A key was pressed and the still second is not over. */
  isReading: boolean;
  instruction: string;
}

type AxisReading = Pick<Needles, 'altitudeErrorRad' | 'azimuthErrorRad'>;

const stillS = 1;
/** Longest wait for a still second after the key. */
const patienceS = 8;
/** After so long a pause the sky has turned on, and a star is told anew. */
const toldForMs = 20 * 60_000;
/** While none could be told it is looked for this often. */
const lookAgainMs = 60_000;
const stillLimitRad = 0.2 * degree;

interface Reading {
  star: Star;
  side: Side;
  utc: Date;
  pressedS: number;
  sumG: Vector3;
  firstG?: Vector3;
  firstS: number;
  count: number;
}

/**
 * Sights with a live board: the user centres a star and presses a key; gravity is read over the next still second.
 */
export class SightStep implements Step<SightProgress, SightsOutcome> {
  private readonly model: AxisModel;
  private readonly site: Site;
  private prior: SightPrior;
  private taken: TimedSight[] = [];
  private nudges = 0;
  private reading: Reading | undefined;
  private words = '';
  private told: { next: NextStar | undefined; atMs: number } = { next: undefined, atMs: -Infinity };
  private readonly now: () => Date;

  /** @param known before the first sight, as by needles at rest; without it only gravity and the stars count */
  constructor(model: AxisModel, site: Site, known?: Anchor, now = () => new Date()) {
    this.model = model;
    this.site = site;
    this.now = now;
    this.prior = priorOf(model, site, known);
    this.words = this.nextWords(now());
  }

  /** The key: `name` is centred at `utc`, on `side`, else on the one told with it, else with the counterweight below. Throws Failure. */
  press(name: string, utc: Date, side?: Side): void {
    const star = starNamed(name);
    if (!star)
      throw new Failure(
        exitCode.usage,
        `"${name}" is not among the stars of the built-in list.`,
        'Check its spelling.',
      );
    requireStarlight({ kind: 'star', star }, this.site, utc);
    const place = placeOf({ kind: 'star', star }, this.site, utc);
    const { next } = this.told;
    if (place.refractedAltitudeRad < 0) {
      throw new Failure(
        exitCode.usage,
        `${star.name} is below the horizon.`,
        `Check the name, the clock and the site${next ? `, or take ${next.star.name}, ${next.where}` : ''}.`,
      );
    }
    this.reading = {
      star,
      side: side ?? (star === next?.star ? next.side : sideWithCounterweightBelow(place.hourAngleRad)),
      utc,
      pressedS: NaN,
      sumG: [0, 0, 0],
      firstS: NaN,
      count: 0,
    };
    this.words = texts.handsOff;
  }

  offer(sample: Pick<BoardSample, 'boardS' | 'accelG'>): void {
    const { reading } = this;
    if (!reading) return;
    if (Number.isNaN(reading.pressedS)) reading.pressedS = sample.boardS;
    const gravity = correct(this.model.correction.accelerometer, sample.accelG);
    if (!reading.firstG || angleBetweenRad(reading.firstG, gravity) > stillLimitRad * 5) {
      Object.assign(reading, { firstG: gravity, firstS: sample.boardS, sumG: [0, 0, 0], count: 0 });
    }
    reading.sumG = add(reading.sumG, gravity);
    reading.count += 1;
    if (sample.boardS - reading.firstS >= stillS) this.keep(reading);
    else if (sample.boardS - reading.pressedS > patienceS) {
      this.reading = undefined;
      this.words = texts.noRest;
    }
  }

  private keep({ star, side, utc, sumG, count }: Reading): void {
    const upG = scale(sumG, 1 / count);
    this.taken.push({ star, side, utc, ...gravityRead(upG, this.model, this.site) });
    this.reading = undefined;
    const { remarks } = this.finish();
    this.words = [texts.noted(star.name), ...remarks, this.nextWords(utc)].join(' ');
  }

  /** Removes the last sight. */
  undo(): void {
    this.taken.pop();
    this.words = this.nextWords(this.now());
  }

  /** The star to take next, as it was told: it stays while it is being centred. Undefined when none can be seen. */
  recommendation(): NextStar | undefined {
    return this.told.next;
  }

  private nextWords(date: Date): string {
    const next =
      this.taken.length > 0
        ? judgeNight(this.taken, this.site, date, this.prior).next
        : nextStars(undefined, this.site, date, [], this.prior)[0];
    this.told = { next, atMs: this.now().getTime() };
    return next ? texts.centre(next.star.name, next.where, next.side) : noStarWords(starlight(this.site, date));
  }

  progress(): SightProgress {
    const staleMs = this.told.next ? toldForMs : lookAgainMs;
    if (!this.reading && this.now().getTime() - this.told.atMs > staleMs) this.words = this.nextWords(this.now());
    return { count: this.taken.length, isReading: this.reading !== undefined, instruction: this.words };
  }

  /** The bolts were turned: sights taken before count on, carried by what the needles showed before and after. */
  nudged(before: AxisReading, after: AxisReading): void {
    const altitudeRad = before.altitudeErrorRad - after.altitudeErrorRad;
    const azimuthRad = before.azimuthErrorRad - after.azimuthErrorRad;
    const { altitudeError, azimuthError } = this.prior;
    if (this.taken.length > 0) this.nudges += 1;
    this.prior = {
      ...this.prior,
      altitudeError: { ...altitudeError, valueRad: altitudeError.valueRad - altitudeRad },
      azimuthError: { ...azimuthError, valueRad: azimuthError.valueRad - azimuthRad },
    };
    this.taken = this.taken.map(({ moved, ...sight }) => ({
      ...sight,
      moved: {
        altitudeRad: (moved?.altitudeRad ?? 0) + altitudeRad,
        azimuthRad: (moved?.azimuthRad ?? 0) + azimuthRad,
      },
    }));
  }

  sights(): readonly TimedSight[] {
    return this.taken;
  }

  /** Throws Failure before the first sight. */
  finish(): SightsOutcome {
    if (this.taken.length === 0) {
      throw new Failure(exitCode.refused, 'No sight was taken.', 'Centre a star and press the key.');
    }
    const outcome = judgeNight(this.taken, this.site, this.now(), this.prior);
    const { fit } = outcome;
    if (!fit || this.nudges === 0) return outcome;
    const [aa, ax, xa, xx] = fit.axisCovariance;
    const read = (stepRad: number): number => this.nudges * stepRad ** 2;
    const axisCovariance = [aa + read(needleStepRad.altitude), ax, xa, xx + read(needleStepRad.azimuth)] as const;
    return { ...outcome, fit: { ...fit, axisCovariance } };
  }
}
