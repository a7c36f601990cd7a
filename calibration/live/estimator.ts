import { wrapPi } from '../angle.ts';
import type { AxisModel } from '../axisModel.ts';
import { correct } from '../correction.ts';
import { polarErrors, type Horizontal } from '../polarAxis.ts';
import type { Vector3 } from '../vector.ts';
import { emptyReading, level, type LevelledReading } from './attitude.ts';
import { MotionCarrier } from './carrier.ts';
import { NeedleChannel } from './channel.ts';
import { DisturbanceWatch } from './disturbance.ts';
import { sigmaDistanceRad } from './distance.ts';
import { Turning } from './turning.ts';

/** What the axis is held against. */
export interface Target {
  pole: Horizontal;
  /** Magnetic variation of the site, positive east, and its standard deviation. */
  variationRad: number;
  sigmaVariationRad: number;
}

/** A raw sample in the board's frame: g, nT, and the board's own clock. */
export interface LiveSample {
  accelG: Vector3;
  fieldNt: Vector3;
  rateDps?: Vector3;
  boardS: number;
}

/** Axis errors known from elsewhere (the sky), which the needles then carry on while the bolts turn. */
export interface Anchor {
  altitudeErrorRad: number;
  azimuthErrorRad: number;
  sigmaAltitudeErrorRad: number;
  sigmaAzimuthErrorRad: number;
}

export interface LiveEstimate {
  altitudeErrorRad: number;
  azimuthErrorRad: number;
  distanceRad: number;
  sigmaAltitudeErrorRad: number;
  sigmaAzimuthErrorRad: number;
  sigmaDistanceRad: number;
  state: 'moving' | 'still' | 'disturbed';
  fieldDeviationSigmas: number;
}

/** Noise of a sample before it was measured: that of a cheap chip, 5 mg and 1 microtesla in a weak horizontal field. */
const firstSigmaRad = { altitude: 0.005, azimuth: 0.06 };
/** The word "moving" stays this long after the last motion, seconds. */
const settleS = 0.5;
/** A longer pause than this, or a clock that runs backward, starts afresh. */
const longestGapS = 1;
/** An acceleration outside these is a blow, not gravity, g. */
const gravityRange = [0.7, 1.3] as const;
/** A field that departs by less than this is clean. */
const cleanSigmas = 2;
const cleanEveryS = 1;
/** What a bolt's motion is measured wrong by, relative to the motion: left-over scale error of a calibration. */
const motionScale = 0.01;

/** Math.hypot takes several times as long, and this runs for every sample. */
const rootOfSquares = (a: number, b: number): number => Math.sqrt(a * a + b * b);

/**
 * Where the polar axis points, from each sample of a calibrated board clipped to the part that turns in right ascension.
 *
 * Each sample gives the axis' direction from magnetic north, which turning about the axis itself does not change. The filter
 * turns two unit vectors (the horizontal part, and sine and cosine of the altitude) by gated innovations, so that no angle wraps
 * and the heading's much larger noise does not leak into the altitude.
 * The stated sigmas are the noise left in the channels and the systematic floor of the model and the variation, in quadrature.
 */
export class LiveEstimator {
  /** Samples passed over: a blow on the mount, no field, or a number that is none. */
  skipped = 0;
  private readonly model: AxisModel;
  private readonly target: Target;
  private readonly reading: LevelledReading = emptyReading();
  private readonly altitude = new NeedleChannel(firstSigmaRad.altitude);
  private readonly azimuth = new NeedleChannel(firstSigmaRad.azimuth);
  private readonly disturbance: DisturbanceWatch;
  private readonly turning = new Turning();
  private carrier: MotionCarrier | undefined;
  private previousS = NaN;
  private north = 1;
  private east = 0;
  private sinAltitude = 0;
  private cosAltitude = 1;
  /** Azimuth a good second before the field was last clean: strength and dip are averaged, and show iron later than the needle. */
  private cleanRad = 0;
  private nextCleanRad = 0;
  private nextCleanS = Infinity;
  private anchor: { known: Anchor; altitudeRad: number; azimuthRad: number; up: Vector3 } | undefined;

  constructor(model: AxisModel, target: Target) {
    this.model = model;
    this.target = target;
    this.disturbance = new DisturbanceWatch(model);
  }

  /** Takes one sample; undefined when it was passed over. The result is fresh each time. */
  offer(sample: LiveSample): LiveEstimate | undefined {
    const { model, reading } = this;
    const intervalS = sample.boardS - this.previousS;
    if (!level(sample.accelG, sample.fieldNt, model.correction, model.axisInBoard, reading)) {
      this.skipped += 1;
      return undefined;
    }
    if (reading.gravityG < gravityRange[0] || reading.gravityG > gravityRange[1]) {
      this.skipped += 1;
      this.turning.noticed();
      return undefined;
    }
    this.previousS = sample.boardS;
    if (!(intervalS > 0 && intervalS < longestGapS)) this.restart();
    else this.follow(sample, intervalS);
    return this.estimate();
  }

  /** From now on the needles show these errors plus what the axis has moved since. */
  anchorTo(known: Anchor): void {
    const { altitudeErrorRad, azimuthErrorRad } = this.measured();
    const { upX, upY, upZ } = this.reading;
    this.anchor = { known, altitudeRad: altitudeErrorRad, azimuthRad: azimuthErrorRad, up: [upX, upY, upZ] };
  }

  release(): void {
    this.anchor = undefined;
  }

  private restart(): void {
    const { reading } = this;
    this.altitude.restart();
    this.azimuth.restart();
    this.disturbance.restart();
    this.turning.restart(reading);
    this.altitude.offer(0, 0, false);
    this.azimuth.offer(0, 0, false);
    this.carrier = undefined;
    this.nextCleanS = Infinity;
    this.north = reading.north;
    this.east = reading.east;
    this.sinAltitude = reading.sinAltitude;
    this.cosAltitude = reading.cosAltitude;
  }

  private follow(sample: LiveSample, intervalS: number): void {
    const { reading } = this;
    this.turning.offer(reading, intervalS);
    this.disturbance.offer(reading, intervalS, this.turning.isFar, this.azimuth.longestExcess());
    if (sample.rateDps) this.carry(sample, sample.rateDps, intervalS);
    const restful = this.turning.restS > settleS;
    const sinUp = reading.sinAltitude * this.cosAltitude - reading.cosAltitude * this.sinAltitude;
    this.raise(this.altitude.offer(sinUp, intervalS, restful));
    const sinAcross = this.north * reading.east - this.east * reading.north;
    const cosAcross = this.north * reading.north + this.east * reading.east;
    this.swingEast(this.azimuth.offer(cosAcross > 0 ? sinAcross : Math.sign(sinAcross), intervalS, restful));
  }

  private raise(stepRad: number): void {
    const sine = this.sinAltitude + this.cosAltitude * stepRad;
    const cosine = Math.max(this.cosAltitude - this.sinAltitude * stepRad, 1e-9);
    const length = Math.sqrt(sine * sine + cosine * cosine);
    this.sinAltitude = sine / length;
    this.cosAltitude = cosine / length;
  }

  private swingEast(stepRad: number): void {
    const north = this.north - this.east * stepRad;
    const east = this.east + this.north * stepRad;
    const length = Math.sqrt(north * north + east * east);
    this.north = north / length;
    this.east = east / length;
  }

  private carry(sample: LiveSample, rateDps: Vector3, intervalS: number): void {
    const { correction, axisInBoard } = this.model;
    this.carrier ??= new MotionCarrier(axisInBoard, intervalS);
    const moved = this.carrier.offer(
      rateDps,
      correct(correction.accelerometer, sample.accelG),
      correct(correction.magnetometer, sample.fieldNt),
      intervalS,
      !this.isMoving(),
    );
    if (this.carrier.isTurning) this.turning.noticed();
    if (!moved) return;
    this.raise(moved.up);
    this.swingEast(moved.east);
  }

  /**
   * What a bent field may do to the azimuth: as much as strength and dip show, and at least as far as the needle has gone
   * since the field was clean, which may have been the bolt or the iron.
   */
  private disturbedRad(): number {
    const { disturbed, deviationSigmas, azimuthSigmaRad } = this.disturbance;
    const nowRad = Math.atan2(this.east, this.north);
    if (deviationSigmas < cleanSigmas && Math.abs(this.previousS - this.nextCleanS) > cleanEveryS) {
      this.cleanRad = this.nextCleanS === Infinity ? nowRad : this.nextCleanRad;
      this.nextCleanRad = nowRad;
      this.nextCleanS = this.previousS;
    }
    return disturbed ? Math.max(azimuthSigmaRad, Math.abs(wrapPi(nowRad - this.cleanRad))) : azimuthSigmaRad;
  }

  private isMoving(): boolean {
    return this.altitude.restS < settleS || this.azimuth.restS < settleS || this.turning.restS < settleS;
  }

  private measured(): { altitudeErrorRad: number; azimuthErrorRad: number; distanceRad: number } {
    const { pole, variationRad } = this.target;
    const c = Math.cos(variationRad);
    const s = Math.sin(variationRad);
    // magnetic to true: turned by the variation about the vertical
    const azimuthRad = Math.atan2(s * this.north + c * this.east, c * this.north - s * this.east);
    return polarErrors({ altitudeRad: Math.atan2(this.sinAltitude, this.cosAltitude), azimuthRad }, pole);
  }

  private estimate(): LiveEstimate {
    const { model, target } = this;
    const measured = this.measured();
    const noiseAltitude = this.altitude.sigmaRad();
    const noiseAzimuth = rootOfSquares(this.azimuth.sigmaRad(), this.disturbedRad());
    let { altitudeErrorRad, azimuthErrorRad, distanceRad } = measured;
    let floorAltitude = model.sigmaAltitudeRad;
    let floorAzimuth = rootOfSquares(model.sigmaMagneticAzimuthRad, target.sigmaVariationRad);
    if (this.anchor) {
      const { known, altitudeRad, azimuthRad, up } = this.anchor;
      const { upX, upY, upZ } = this.reading;
      const turned = Math.hypot(upX - up[0], upY - up[1], upZ - up[2]);
      const movedAltitude = altitudeErrorRad - altitudeRad;
      const movedAzimuth = azimuthErrorRad - azimuthRad;
      altitudeErrorRad = known.altitudeErrorRad + movedAltitude;
      azimuthErrorRad = known.azimuthErrorRad + movedAzimuth;
      // errors of the calibration are common to then and now, except for the part that turned with the board
      floorAltitude = Math.hypot(
        known.sigmaAltitudeErrorRad,
        turned * model.sigmaAltitudeRad,
        motionScale * movedAltitude,
      );
      floorAzimuth = Math.hypot(
        known.sigmaAzimuthErrorRad,
        turned * model.sigmaMagneticAzimuthRad,
        motionScale * movedAzimuth,
      );
      distanceRad = polarErrors(
        {
          altitudeRad: target.pole.altitudeRad + altitudeErrorRad,
          azimuthRad: target.pole.azimuthRad + azimuthErrorRad,
        },
        target.pole,
      ).distanceRad;
    }
    const sigmaAltitudeErrorRad = rootOfSquares(floorAltitude, noiseAltitude);
    const sigmaAzimuthErrorRad = rootOfSquares(floorAzimuth, noiseAzimuth);
    return {
      altitudeErrorRad,
      azimuthErrorRad,
      distanceRad,
      sigmaAltitudeErrorRad,
      sigmaAzimuthErrorRad,
      sigmaDistanceRad: sigmaDistanceRad(
        altitudeErrorRad,
        azimuthErrorRad * this.cosAltitude,
        sigmaAltitudeErrorRad,
        sigmaAzimuthErrorRad * this.cosAltitude,
      ),
      state: this.disturbance.disturbed ? 'disturbed' : this.isMoving() ? 'moving' : 'still',
      fieldDeviationSigmas: this.disturbance.deviationSigmas,
    };
  }
}
