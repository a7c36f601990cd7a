import { arcminute } from '../../calibration/angle.ts';
import type { AxisErrors } from '../../calibration/drift/driftModel.ts';
import type { SeenShift } from '../../calibration/nudge/habit.ts';
import { wayInField, type FieldPlace } from '../../calibration/nudge/starAfter.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import type { NudgeEntry } from '../night/nightEntry.ts';
import { shiftEntry } from '../night/nightEstimates.ts';
import type { Star } from '../sky/stars.ts';
import type { NudgeEye } from '../steps/starNudge.ts';
import { shiftByStar, withNeedles } from '../steps/starShift.ts';
import type { VirtualNight } from './rehearseNight.ts';
import { texts } from './words.ts';

const needlesRestS = 20;

/** One moment at the eyepiece: where the star stands, and what the needles show. */
export interface Look extends AxisErrors {
  place: FieldPlace;
}

/** A star that the drive keeps in the virtual eyepiece while the bolts are turned or locked. */
export class StarInField {
  readonly star: Star;
  readonly starNed: Vector3;
  private readonly night: VirtualNight;
  private readonly eye: NudgeEye;

  constructor(night: VirtualNight, star: Star, eye: NudgeEye) {
    this.night = night;
    this.star = star;
    this.eye = eye;
    night.follow(star);
    this.starNed = night.seen(star, night.world.timeS);
  }

  /** Where the star stands, as the eye reads it. Up in the field is toward the elevated pole. */
  read(): FieldPlace {
    const { eyepiece, world, random, site } = this.night;
    const seen = eyepiece.see(this.night.starAt(this.star)(world.timeS));
    if (!seen) throw new Error(`${this.star.name} has left the field`);
    const north = Math.sign(site.latitudeRad);
    return {
      northRad: north * seen.upArcmin * arcminute + this.eye.sigmaReadRad * random.normal(),
      eastRad: -north * seen.rightArcmin * arcminute + this.eye.sigmaReadRad * random.normal(),
    };
  }

  /** Hands off until the needles are quiet, then a reading of the star. */
  look(): Look {
    const { altitudeErrorRad, azimuthErrorRad } = this.night.rest(needlesRestS).shown;
    return { altitudeErrorRad, azimuthErrorRad, place: this.read() };
  }

  /** How far the axis went from one look to another, by star and needles together. */
  between(before: Look, after: Look, from: AxisErrors): SeenShift {
    const { night, starNed, eye } = this;
    const way = wayInField(before.place, after.place);
    return withNeedles(shiftByStar({ starNed, axis: from, eye }, night.site.latitudeRad, way), before, after);
  }

  /** The entry of what moved the axis from one look to another. */
  shiftEntry(before: Look, after: Look, from: AxisErrors, by: 'star' | 'locking'): NudgeEntry {
    const words = texts.measured(by === 'locking', this.star.name);
    return shiftEntry(this.between(before, after, from), by, this.night.now(), words);
  }
}
