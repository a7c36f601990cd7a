import { arcminute, arcsecond } from '../../calibration/angle.ts';
import { sideWithCounterweightBelow } from '../../calibration/sight/sightModel.ts';
import { exitCode, Failure } from '../failure.ts';
import { eyepieceOf, type Eyepiece } from '../live/eyepiece.ts';
import { driftStars, requireSeen, roughCovariance } from '../steps/drift.ts';
import type { TypedReading } from '../steps/driftFile.ts';
import type { VirtualNight } from './rehearseNight.ts';
import { requireStarlight } from '../sky/mayTake.ts';
import { noStarWords, starlight } from '../sky/starlight.ts';
import type { Star } from '../sky/stars.ts';
import { starPlace } from './watchByEye.ts';
import { texts } from './words.ts';

const everyS = 30;
const nudgedToRad = 5 * arcminute;

/** A star watched in the virtual eyepiece, on a virtual mount that was nudged by its needles; its clock is that of the virtual sky. */
export class VirtualWatch {
  private readonly night: VirtualNight;
  private readonly eyepiece: Eyepiece;
  private star: Star | undefined;
  private startNorthRad = 0;
  private startUtc: Date;

  constructor(night: VirtualNight) {
    night.nudge(nudgedToRad);
    this.night = night;
    this.eyepiece = eyepieceOf(night.world, night.now());
    this.startUtc = night.now();
  }

  /** Centres a star and lets the drive follow it. Throws Failure where the star cannot be seen. */
  follow(star: Star): void {
    const { world, site } = this.night;
    requireSeen(star, site, this.utc());
    const place = starPlace(star, site);
    requireStarlight({ kind: 'star', star }, site, this.utc());
    const side = sideWithCounterweightBelow(place(this.utc()).hourAngleRad);
    void this.eyepiece.centre(place, side, true);
    world.advanceTo(world.hands.readyS);
    this.star = star;
    this.startUtc = this.utc();
    this.startNorthRad = this.north() ?? 0;
  }

  utc(): Date {
    return this.eyepiece.utc();
  }

  /** Time that this star was watched, seconds. */
  watchedS(): number {
    return (this.utc().getTime() - this.startUtc.getTime()) / 1000;
  }

  /** Half a minute goes by. */
  pass(): void {
    this.night.world.advanceTo(this.night.world.timeS + everyS);
  }

  /** How far north of the start the star is seen, as the eye reads it; undefined when it has left the field. */
  look(): number | undefined {
    const northRad = this.north();
    return northRad === undefined ? undefined : northRad - this.startNorthRad;
  }

  /** The virtual hands watch the two stars that tell most, `minutes` each; readings in arcseconds. */
  byHands(minutes: number, tell: (line: string) => void): TypedReading[] {
    const readings: TypedReading[] = [];
    for (const what of ['azimuth', 'altitude'] as const) {
      const choice = driftStars(this.night.site, this.utc(), roughCovariance, minutes).find(
        ({ star, tells }) => tells === what && readings.every((reading) => reading.star !== star),
      );
      if (!choice) continue;
      const { star, where } = choice;
      tell(texts.watching(star.name, where, minutes, what));
      this.follow(star);
      for (;;) {
        const northRad = this.look();
        if (northRad === undefined) break;
        readings.push({ star, utc: this.utc(), north: northRad / arcsecond });
        if (this.watchedS() >= minutes * 60) break;
        this.pass();
      }
    }
    if (readings.length === 0)
      throw new Failure(
        exitCode.refused,
        noStarWords(starlight(this.night.site, this.utc())),
        'Begin at another time (--at UTC), or leave out --at.',
      );
    return readings;
  }

  private north(): number | undefined {
    return this.star && this.eyepiece.readNorth(starPlace(this.star, this.night.site)(this.utc()));
  }
}
