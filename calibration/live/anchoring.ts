import { arcminute } from '../angle.ts';
import type { AxisModel } from '../axisModel.ts';
import { axisWithErrors, polarErrors, type Horizontal, type PolarErrors } from '../polarAxis.ts';
import type { Vector3 } from '../vector.ts';
import type { LevelledReading } from './attitude.ts';

/** Axis errors known from elsewhere (the sky), which the needles then carry on while the bolts turn. */
export interface Anchor {
  altitudeErrorRad: number;
  azimuthErrorRad: number;
  sigmaAltitudeErrorRad: number;
  sigmaAzimuthErrorRad: number;
}

/** What a bolt's motion is measured wrong by, relative to the motion: left-over scale error of a calibration. */
const motionScale = 0.01;

/** What the bias of a typical board's chips wanders by, as altitude and azimuth: slower than a rest, so no mean shows it. */
const wanderRad = { altitude: 0.25 * arcminute, azimuth: 1.5 * arcminute };

/** Noise of the needles at one instant, standard deviations. */
interface NeedleNoise {
  altitudeRad: number;
  azimuthRad: number;
}

/** Known errors, and what the needles and the board's attitude were when these held. */
export class Anchoring {
  sigmaAltitudeRad = 0;
  sigmaAzimuthRad = 0;
  private readonly known: Anchor;
  private readonly altitudeErrorRad: number;
  private readonly azimuthErrorRad: number;
  private readonly up: Vector3;

  /** @param noise of the needles from which it starts: it stays in all that they show from then on */
  constructor(known: Anchor, measured: PolarErrors, { upX, upY, upZ }: LevelledReading, noise: NeedleNoise) {
    // of then and of now
    const wander = Math.SQRT2;
    this.known = {
      ...known,
      sigmaAltitudeErrorRad: Math.hypot(known.sigmaAltitudeErrorRad, noise.altitudeRad, wander * wanderRad.altitude),
      sigmaAzimuthErrorRad: Math.hypot(known.sigmaAzimuthErrorRad, noise.azimuthRad, wander * wanderRad.azimuth),
    };
    this.altitudeErrorRad = measured.altitudeErrorRad;
    this.azimuthErrorRad = measured.azimuthErrorRad;
    this.up = [upX, upY, upZ];
  }

  /** Puts the known errors plus what the axis has moved since in the place of the measured ones, and works out their sigmas. */
  carry(errors: PolarErrors, { upX, upY, upZ }: LevelledReading, model: AxisModel, pole: Horizontal): void {
    const { known, up } = this;
    const turned = Math.hypot(upX - up[0], upY - up[1], upZ - up[2]);
    const movedAltitude = errors.altitudeErrorRad - this.altitudeErrorRad;
    const movedAzimuth = errors.azimuthErrorRad - this.azimuthErrorRad;
    errors.altitudeErrorRad = known.altitudeErrorRad + movedAltitude;
    errors.azimuthErrorRad = known.azimuthErrorRad + movedAzimuth;
    const axis = axisWithErrors(pole, errors.altitudeErrorRad, errors.azimuthErrorRad);
    errors.distanceRad = polarErrors(axis, pole).distanceRad;
    // errors of the calibration are common to then and now, except for the part that turned with the board
    this.sigmaAltitudeRad = Math.hypot(
      known.sigmaAltitudeErrorRad,
      turned * model.sigmaAltitudeRad,
      motionScale * movedAltitude,
    );
    this.sigmaAzimuthRad = Math.hypot(
      known.sigmaAzimuthErrorRad,
      turned * model.sigmaMagneticAzimuthRad,
      motionScale * movedAzimuth,
    );
  }
}
