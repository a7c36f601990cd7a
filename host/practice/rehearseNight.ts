import { arcminute, arcsecond, degree } from '../../calibration/angle.ts';
import { answerOf, type Answer, type AxisEstimate } from '../../calibration/answer.ts';
import { correct } from '../../calibration/correction.ts';
import { adjustDrift, type DriftWatch } from '../../calibration/drift/adjustDrift.ts';
import { rankDriftStars } from '../../calibration/drift/nextStar.ts';
import { equatorialOf } from '../../calibration/equatorial.ts';
import { LiveEstimator, type LiveEstimate } from '../../calibration/live/estimator.ts';
import { sigmaRoundRad, type SightPrior } from '../../calibration/sight/sightPrior.ts';
import { sideWithCounterweightBelow, type Side } from '../../calibration/sight/sightModel.ts';
import { add, scale, type Vector3 } from '../../calibration/vector.ts';
import type { StarPlace } from '../../firmware-proto/virtual/eyepiece.ts';
import { VirtualEyepiece } from '../../firmware-proto/virtual/eyepieceAtMount.ts';
import { nudge } from '../../firmware-proto/virtual/handsPractice.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { createWorld, type VirtualWorld } from '../../firmware-proto/virtual/world.ts';
import { collect } from '../../firmware-proto/virtual/worldSamples.ts';
import type { Site } from '../site/site.ts';
import type { NightEntry } from '../night/nightEntry.ts';
import { entryOf, estimatesOf } from '../night/nightEstimates.ts';
import type { StepOfNight, Tonight } from '../night/stepsOfNight.ts';
import { tonightOf } from '../night/tonight.ts';
import { errorsWords } from '../night/nightReport.ts';
import type { Plan } from '../store/plan.ts';
import { placeOf } from '../sky/place.ts';
import { judgeNight, nextStars, type TimedSight } from '../steps/sights.ts';
import { gravityRead } from '../steps/sightStep.ts';
import { noStarWords, starlight } from '../sky/starlight.ts';
import type { Star } from '../sky/stars.ts';
import { seenDirection, starsToTake } from '../sky/visible.ts';
import { rehearseFast, type Rehearsal } from '../live/rehearseFast.ts';
import { exitCode, Failure } from '../failure.ts';
import { swingSite } from '../site/swingSite.ts';
import { texts } from './words.ts';

/** Somebody at a virtual mount for one night: sees the needles, the clock and the eyepiece, never the truth. */
export class VirtualNight {
  readonly world: VirtualWorld;
  /** What a log of this night holds. */
  readonly log: NightEntry[] = [];
  readonly site: Site;
  private readonly start: Date;
  readonly rehearsal: Rehearsal;
  private readonly estimator: LiveEstimator;
  readonly eyepiece: VirtualEyepiece;
  /** What the eye and the hand err by. */
  readonly random: Random;
  private needles: LiveEstimate | undefined;

  /** @param rehearsal of the same scene, seed and start, where it was made already */
  constructor(scene: SceneName, seed: number, start: Date, rehearsal = rehearseFast(scene, { seed, date: start })) {
    this.start = start;
    this.rehearsal = rehearsal;
    this.world = createWorld(scene, { seed, date: start });
    this.site = { ...this.world.scene.place, horizon: [...this.world.scene.hidden] };
    this.estimator = new LiveEstimator(this.rehearsal.swing.axisModel, swingSite(this.site, start));
    this.eyepiece = new VirtualEyepiece(this.world);
    this.random = new Random(seed);
  }

  now(): Date {
    return this.at(this.world.timeS);
  }

  /** Lets `seconds` pass with hands off, reads the needles and returns what gravity was meanwhile. */
  rest(seconds: number): { shown: LiveEstimate; upG: Vector3 } {
    return this.watch(this.world.timeS + seconds);
  }

  /**
   * Turns the bolts by what the needles show until they are within `toleranceRad`; long rests before and after quieten them, and
   * near the end as well, since a needle just settled is no reason to turn a bolt by a few arcminutes.
   */
  nudge(toleranceRad: number): void {
    const before = this.rest(20).shown;
    for (let nudges = 0; ; nudges += 1) {
      if (nudges > 30) throw new Error('the needles did not come to zero in 30 nudges');
      let { shown } = this.rest(4);
      const worstRad = Math.max(Math.abs(shown.altitudeErrorRad), Math.abs(shown.azimuthErrorRad));
      if (worstRad < 6 * toleranceRad) ({ shown } = this.rest(12));
      const doneS = nudge(this.world.hands, shown, toleranceRad);
      if (doneS === undefined) {
        // bolts that nobody touched moved nothing, whatever the noise of two readings says
        if (nudges > 0) this.moved(before, this.rest(20).shown);
        return;
      }
      this.watch(doneS);
    }
  }

  private moved(before: LiveEstimate, after: LiveEstimate, words?: string, by?: 'load' | 'locking'): void {
    this.log.push({
      kind: 'nudge',
      timeUtc: this.now().toISOString(),
      altitudeShiftDeg: (after.altitudeErrorRad - before.altitudeErrorRad) / degree,
      azimuthShiftDeg: (after.azimuthErrorRad - before.azimuthErrorRad) / degree,
      ...(by !== undefined && { by }),
      ...(words !== undefined && { words }),
    });
  }

  noteCompass(): void {
    const { shown } = this.rest(20);
    this.note('compass', shown, [shown.sigmaAltitudeErrorRad ** 2, 0, 0, shown.sigmaAzimuthErrorRad ** 2]);
  }

  /** Takes `count` sights, each as recommended, and notes what they say; `meanwhile` is called before each with how many there are. */
  takeSights(count: number, meanwhile: (taken: number) => void = () => {}): TimedSight[] {
    const { swing, calibration } = this.rehearsal;
    const { shown } = this.rest(20);
    const prior: SightPrior = {
      altitudeError: { valueRad: shown.altitudeErrorRad, sigmaRad: shown.sigmaAltitudeErrorRad },
      azimuthError: { valueRad: shown.azimuthErrorRad, sigmaRad: shown.sigmaAzimuthErrorRad },
      sigmaConeRad: 10 * arcminute,
      sigmaNonPerpendicularityRad: 10 * arcminute,
      sigmaRoundRad: sigmaRoundRad(calibration.sigmaTiltRad, swing.sigmaAxisInBoardRad, this.site.latitudeRad),
    };
    const taken: TimedSight[] = [];
    for (let i = 0; i < count; i += 1) {
      meanwhile(i);
      const fit = taken.length > 0 ? judgeNight(taken, this.site, this.now(), prior).fit : undefined;
      const used = taken.map(({ star }) => star);
      const next = nextStars(fit, this.site, this.now(), used, prior).at(0);
      if (!next) throw this.noStar();
      taken.push(this.takeSight(next.star, next.side));
    }
    const { fit, verdict, remarks } = judgeNight(taken, this.site, this.now(), prior);
    if (!fit) throw new Error(`the sights were rejected: ${verdict.kind}`);
    this.note(
      'sights',
      fit,
      fit.axisCovariance,
      [`${count} sights: ${taken.map(({ star }) => star.name).join(', ')}`, ...remarks].join('. '),
    );
    return taken;
  }

  /** Watches the two stars that tell most for `minutes` each, a reading every 20 s good to 2 arcseconds. */
  watchDrift(minutes: number): { star: Star; readings: DriftWatch['readings'] }[] {
    const { latitudeRad } = this.site;
    const answer = this.answer();
    const watches: DriftWatch[] = [];
    const followed: Star[] = [];
    for (const tells of ['azimuth', 'altitude'] as const) {
      const free = starsToTake(this.site, this.now()).filter(({ star }) => !followed.includes(star));
      if (free.length === 0) throw this.noStar();
      const ranked = rankDriftStars(
        answer.axisCovariance,
        latitudeRad,
        free.map(({ starNed }) => starNed),
        (2 * arcsecond) / (minutes * 20),
      );
      const best = ranked.find((one) => one.tells === tells) ?? ranked[0];
      const { star } = free[best.index];
      followed.push(star);
      const starAt = this.starAt(star);
      this.follow(star);
      const readings = Array.from({ length: minutes * 3 + 1 }, () => {
        this.world.advanceTo(this.world.timeS + 20);
        const timeS = this.world.timeS;
        const seen = this.eyepiece.see(starAt(timeS));
        const upRad = (seen?.upArcmin ?? NaN) * arcminute + 2 * arcsecond * this.random.normal();
        return { timeS, starNed: this.seen(star, timeS), northRad: upRad * Math.sign(latitudeRad) };
      });
      watches.push({ readings, sigmaRad: 2 * arcsecond });
    }
    this.stopDrive();
    const drift = adjustDrift(watches, latitudeRad, {
      altitudeErrorRad: answer.altitudeErrorRad,
      azimuthErrorRad: answer.azimuthErrorRad,
      sigmaAltitudeErrorRad: 1 * degree,
      sigmaAzimuthErrorRad: 1 * degree,
    });
    this.note(
      'drift',
      drift,
      drift.axisCovariance,
      `${minutes} minutes each of ${followed.map(({ name }) => name).join(' and ')}`,
    );
    return watches.map(({ readings }, i) => ({ star: followed[i], readings }));
  }

  /** Everything measured so far, carried to now over the nudges. */
  answer(): Answer {
    return answerOf(estimatesOf(this.log), this.site.latitudeRad, this.now().getTime());
  }

  /** Lets the needles start from the answer, after a rest. */
  takeOver(): void {
    this.rest(20);
    const { altitudeErrorRad, azimuthErrorRad, axisCovariance } = this.answer();
    const sigmaAltitudeErrorRad = Math.sqrt(axisCovariance[0]);
    const sigmaAzimuthErrorRad = Math.sqrt(axisCovariance[3]);
    this.estimator.anchorTo({ altitudeErrorRad, azimuthErrorRad, sigmaAltitudeErrorRad, sigmaAzimuthErrorRad });
    const together = errorsWords({
      altitudeErrorDeg: altitudeErrorRad / degree,
      azimuthErrorDeg: azimuthErrorRad / degree,
      sigmaAltitudeErrorDeg: sigmaAltitudeErrorRad / degree,
      sigmaAzimuthErrorDeg: sigmaAzimuthErrorRad / degree,
    });
    this.say(texts.allTogether(together));
  }

  /** A line of words in the log; with `step` that one is done. */
  say(words: string, step?: StepOfNight): void {
    this.log.push({ kind: 'note', timeUtc: this.now().toISOString(), words, ...(step && { step }) });
  }

  /** What the next step of the evening goes by. */
  tonight(plan?: Plan): Tonight {
    const startMs = this.start.getTime();
    const isMeasured = estimatesOf(this.log).length > 0;
    return tonightOf({
      now: this.now(),
      site: this.site,
      entries: this.log,
      plan,
      tumbledMs: startMs,
      swungMs: startMs,
      ...(isMeasured && { answer: this.answer() }),
    });
  }

  /** Tightens both bolts; what that did to the axis goes into the log. */
  lock(): void {
    const before = this.rest(20).shown;
    this.world.hands.lock('altitude');
    this.watch(this.world.hands.lock('azimuth'));
    this.moved(before, this.rest(20).shown, texts.lockingDidThat, 'locking');
  }

  /** The instrument goes on; what its weight did to the axis, by the needles, goes into the log. */
  load(): void {
    const before = this.rest(20).shown;
    this.watch(this.world.hands.load(true));
    this.moved(before, this.rest(20).shown, texts.weightDidThat, 'load');
  }

  /** Slews to a star and lets the drive follow it; returns when it is centred as well as an eye does. */
  follow(star: Star): void {
    const { hourAngleRad } = placeOf({ kind: 'star', star }, this.site, this.now());
    this.watch(this.eyepiece.centre(this.starAt(star), sideWithCounterweightBelow(hourAngleRad), true));
  }

  stopDrive(): void {
    this.world.advanceTo(this.world.hands.drive(0) + 0.1);
  }

  private takeSight(star: Star, side: Side): TimedSight {
    this.watch(this.eyepiece.centre(this.starAt(star), side));
    const pressedS = this.world.timeS + this.random.normal();
    const { upG } = this.rest(1);
    return { star, side, utc: this.at(pressedS), ...gravityRead(upG, this.rehearsal.swing.axisModel, this.site) };
  }

  watch(untilS: number): { shown: LiveEstimate; upG: Vector3 } {
    const { accelerometer } = this.rehearsal.calibration.correction;
    const samples = collect(this.world, untilS);
    let sum: Vector3 = [0, 0, 0];
    for (const { timeS, ...sample } of samples) {
      this.needles = this.estimator.offer({ ...sample, boardS: timeS }) ?? this.needles;
      sum = add(sum, correct(accelerometer, sample.accelG));
    }
    if (!this.needles) throw new Error('no needles');
    return { shown: this.needles, upG: scale(sum, 1 / samples.length) };
  }

  private note(
    kind: AxisEstimate['kind'],
    errors: { altitudeErrorRad: number; azimuthErrorRad: number },
    axisCovariance: AxisEstimate['axisCovariance'],
    words?: string,
  ): void {
    const { altitudeErrorRad, azimuthErrorRad } = errors;
    const estimate = { kind, utcMs: this.now().getTime(), altitudeErrorRad, azimuthErrorRad, axisCovariance };
    // The prior of the sights was the compass: it is in them and does not count twice.
    this.log.push(entryOf(estimate, { words, ...(kind === 'sights' && { replacesEarlier: true }) }));
  }

  private noStar(): Failure {
    const light = starlight(this.site, this.now());
    return new Failure(
      exitCode.refused,
      noStarWords(light),
      'Begin the night at another time: --at UTC, or leave it out.',
    );
  }

  at(worldS: number): Date {
    return new Date(this.start.getTime() + worldS * 1000);
  }

  /** Direction of a star, through the air. */
  seen(star: Star, worldS: number): Vector3 {
    return seenDirection(placeOf({ kind: 'star', star }, this.site, this.at(worldS)));
  }

  starAt(star: Star): (worldS: number) => StarPlace {
    return (worldS) => equatorialOf(this.seen(star, worldS), this.site.latitudeRad);
  }
}
