import { wrapPi } from '../angle.ts';
import type { AxisModel } from '../axisModel.ts';
import { correct } from '../correction.ts';
import type { PolarErrors } from '../polarAxis.ts';
import type { Vector3 } from '../vector.ts';
import { axisDriftPerC, untoldChangeC } from '../warmth.ts';
import { Anchoring, type Anchor } from './anchoring.ts';
import { emptyReading, level, type LevelledReading } from './attitude.ts';
import { AxisDirection, type Target } from './axisDirection.ts';
import { MotionCarrier } from './carrier.ts';
import { NeedleChannel, settleS } from './channel.ts';
import { DisturbanceWatch } from './disturbance.ts';
import { sigmaDistanceRad } from './distance.ts';
import { StepWatch } from './stepWatch.ts';
import { Turning } from './turning.ts';

/** A raw sample in the board's frame: g, nT, and the board's own clock. */
export interface LiveSample {
  accelG: Vector3;
  fieldNt: Vector3;
  rateDps?: Vector3;
  boardS: number;
  temperatureC?: number;
}

export type { Anchor, Target };

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
/** A longer pause than this and than some usual intervals, or a clock that runs backward, starts afresh. */
const longestGapS = 1;
const longestGapIntervals = 3;
/** Share of the newest interval in the usual one. */
const intervalShare = 0.1;
/** An acceleration outside these is a blow, not gravity, g. */
const gravityRange = [0.7, 1.3] as const;
/** A field that departs by less than this is clean. */
const cleanSigmas = 2;
const cleanEveryS = 1;
/** A step of the azimuth within this after gravity moved may be a hand's, seconds. */
const shakenS = 0.8;
/** A step is taken back by one that leaves less than this share of it. */
const backShare = 0.35;

/** Math.hypot takes several times as long, and this runs for every sample. */
const rootOfSquares = (a: number, b: number): number => Math.sqrt(a * a + b * b);

/**
 * Where the polar axis points, from each sample of a calibrated board clipped to the part that turns in right ascension.
 *
 * Each sample gives the axis' direction from magnetic north, which turning about the axis itself does not change. The filter
 * turns the estimated direction by gated innovations of altitude and azimuth apart, so that the heading's much larger noise does
 * not leak into the altitude.
 * The stated sigmas are the noise left in the channels and the systematic floor of the model and the variation, in quadrature.
 */
export class LiveEstimator {
  /** Samples passed over: a blow on the mount, no field, or a number that is none. */
  skipped = 0;
  private readonly model: AxisModel;
  private readonly target: Target;
  private readonly axis: AxisDirection;
  /** The newest errors, without what a sighting adds. */
  private readonly measured: PolarErrors = { altitudeErrorRad: 0, azimuthErrorRad: 0, distanceRad: 0 };
  private readonly reading: LevelledReading = emptyReading();
  private readonly altitude = new NeedleChannel(firstSigmaRad.altitude);
  private readonly azimuth = new NeedleChannel(firstSigmaRad.azimuth);
  private readonly disturbance: DisturbanceWatch;
  private readonly turning = new Turning();
  private readonly steps = new StepWatch();
  /** How far the azimuth needle has swung in all. */
  private swungRad = 0;
  /** Steps of the azimuth that iron made and has not taken back. */
  private bentRad = 0;
  private carrier: MotionCarrier | undefined;
  private previousS = NaN;
  /** Interval between samples; a second, the longest that a board may have, until it is known better. */
  private usualS = 1;
  private readonly driftPerC: { altitudeRad: number; azimuthRad: number };
  /** Of the newest sample; NaN where the board does not tell. */
  private temperatureC = NaN;
  /** When what the needles start from held, and how long that is ago. */
  private referenceC: number;
  private sinceReferenceS = 0;
  /** Azimuth error a good second before the field was last clean: strength and dip are averaged, and show iron later than the needle. */
  private cleanRad = 0;
  private nextCleanRad = 0;
  private nextCleanS = Infinity;
  private anchoring: Anchoring | undefined;

  constructor(model: AxisModel, target: Target) {
    this.model = model;
    this.target = target;
    this.axis = new AxisDirection(target);
    this.disturbance = new DisturbanceWatch(model);
    this.driftPerC = axisDriftPerC(model);
    this.referenceC = model.temperatureC ?? NaN;
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
    this.temperatureC = sample.temperatureC ?? NaN;
    if (!(intervalS > 0 && intervalS < Math.max(longestGapS, longestGapIntervals * this.usualS))) this.restart();
    else {
      this.usualS += intervalShare * (intervalS - this.usualS);
      this.follow(sample, intervalS);
    }
    return this.estimate();
  }

  /** From now on the needles show these errors plus what the axis has moved since. */
  anchorTo(known: Anchor): void {
    this.anchoring = new Anchoring(known, this.measured, this.reading, {
      altitudeRad: this.altitude.restSigmaRad(),
      azimuthRad: this.azimuth.restSigmaRad(),
    });
    this.referenceC = this.temperatureC;
    this.sinceReferenceS = 0;
    this.bentRad = 0;
  }

  release(): void {
    this.anchoring = undefined;
    this.referenceC = this.model.temperatureC ?? NaN;
  }

  private restart(): void {
    const { reading } = this;
    this.altitude.restart();
    this.azimuth.restart();
    this.disturbance.restart();
    this.turning.restart(reading);
    this.steps.restart();
    this.bentRad = 0;
    this.altitude.offer(0, 0, false);
    this.azimuth.offer(0, 0, false);
    this.carrier = undefined;
    this.nextCleanS = Infinity;
    this.axis.set(reading);
  }

  private follow(sample: LiveSample, intervalS: number): void {
    const { reading } = this;
    this.turning.offer(reading, intervalS);
    this.sinceReferenceS += intervalS;
    const warmedC = this.temperatureC - (this.model.temperatureC ?? NaN) || 0;
    this.disturbance.offer(reading, intervalS, this.turning.isFar, this.azimuth.longestExcess(), warmedC);
    if (sample.rateDps) this.carry(sample, sample.rateDps, intervalS);
    const restful = this.turning.restS > settleS;
    this.axis.raise(this.altitude.offer(this.axis.sinUpTo(reading), intervalS, restful));
    const innovationRad = this.axis.sinEastTo(reading);
    const swungRad = this.azimuth.offer(innovationRad, intervalS, restful);
    this.watchSteps(this.swungRad + innovationRad, sample.boardS);
    this.swungRad += swungRad;
    this.axis.swingEast(swungRad);
  }

  /** A step that comes back is iron that has gone again; one that shakes the board, or that a gyro sees, was a hand. */
  private watchSteps(azimuthRad: number, boardS: number): void {
    if (this.turning.isFar) this.bentRad = 0;
    const stepRad = this.steps.offer(azimuthRad, boardS, this.azimuth.hasJumped);
    if (stepRad === 0 || this.turning.restS < shakenS || this.altitude.isMoving || this.carrier?.isTurning) return;
    const isBack = Math.abs(this.bentRad + stepRad) < backShare * Math.abs(stepRad);
    this.bentRad = isBack ? 0 : this.bentRad + stepRad;
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
    this.axis.raise(moved.up);
    this.axis.swingEast(moved.east);
    this.swungRad += moved.east;
  }

  /**
   * What a bent field may do to the azimuth: as much as strength and dip show, and at least as far as the needle has gone
   * since the field was clean, which may have been the bolt or the iron.
   */
  private disturbedRad(): number {
    const { disturbed, deviationSigmas, azimuthSigmaRad } = this.disturbance;
    const nowRad = this.measured.azimuthErrorRad;
    if (deviationSigmas < cleanSigmas && Math.abs(this.previousS - this.nextCleanS) > cleanEveryS) {
      this.cleanRad = this.nextCleanS === Infinity ? nowRad : this.nextCleanRad;
      this.nextCleanRad = nowRad;
      this.nextCleanS = this.previousS;
    }
    const bentRad = Math.max(azimuthSigmaRad, Math.abs(this.bentRad));
    return disturbed ? Math.max(bentRad, Math.abs(wrapPi(nowRad - this.cleanRad))) : bentRad;
  }

  /** Since what the needles start from held; where the board or the model does not tell, what must be reckoned with. */
  private warmedC(): number {
    const changeC = this.temperatureC - this.referenceC;
    return Number.isNaN(changeC) ? untoldChangeC(this.sinceReferenceS) : changeC;
  }

  private isMoving(): boolean {
    return this.altitude.isMoving || this.azimuth.isMoving || this.turning.restS < settleS;
  }

  private estimate(): LiveEstimate {
    const { model, target, measured, reading, anchoring } = this;
    const { cosAltitude } = this.axis;
    this.axis.errorsInto(measured);
    const noiseAltitude = this.altitude.sigmaRad();
    const noiseAzimuth = rootOfSquares(
      rootOfSquares(this.azimuth.sigmaRad(), this.disturbedRad()),
      this.steps.doubtRad,
    );
    let errors = measured;
    let floorAltitude = model.sigmaAltitudeRad;
    let floorAzimuth = rootOfSquares(model.sigmaMagneticAzimuthRad, target.sigmaVariationRad);
    if (anchoring) {
      errors = { ...measured };
      anchoring.carry(errors, reading, model, target.pole);
      floorAltitude = anchoring.sigmaAltitudeRad;
      floorAzimuth = anchoring.sigmaAzimuthRad;
    }
    const { altitudeErrorRad, azimuthErrorRad, distanceRad } = errors;
    const warmedC = this.warmedC();
    floorAltitude = rootOfSquares(floorAltitude, this.driftPerC.altitudeRad * warmedC);
    floorAzimuth = rootOfSquares(floorAzimuth, this.driftPerC.azimuthRad * warmedC);
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
        azimuthErrorRad * cosAltitude,
        sigmaAltitudeErrorRad,
        sigmaAzimuthErrorRad * cosAltitude,
      ),
      state: this.disturbance.disturbed || this.bentRad !== 0 ? 'disturbed' : this.isMoving() ? 'moving' : 'still',
      fieldDeviationSigmas: this.disturbance.deviationSigmas,
    };
  }
}
