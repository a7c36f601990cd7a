import type { AxisModel } from '../axisModel.ts';
import { degree } from '../angle.ts';
import { driftPerC } from '../warmth.ts';
import type { LevelledReading } from './attitude.ts';

/** Strength and dip are averaged over this long before they are judged, seconds. */
const averageS = 0.4;
/** The undisturbed field is learned over at least this long, seconds, and remembered over at most `memoryS`. */
const learnS = 2;
const memoryS = 60;
/** Raised and lifted at different values, so that the word does not flicker. */
const raisedSigmas = 4;
const liftedSigmas = 3;
/**
 * How much a good calibration may still let strength and dip differ between attitudes, and its chips' zeros wander: 0.2 percent
 * and 0.1 degree.
 */
const attitudeStrength = 0.002;
const attitudeDipVariance = (0.1 * degree) ** 2;

/**
 * Tells a field that iron has bent from a clean one by the two numbers that do not depend on the heading: strength and dip.
 * Both are held against the model of the site and, more sharply, against what this board itself saw a moment ago: the Earth's
 * field does not change in seconds, a car's does.
 *
 * What it cannot see: a change square to both the field and the vertical moves only the heading (`StepWatch` sees it where it is
 * sudden). The band is opened by what strength and dip do show, so a source near by is caught by its other two components.
 */
export class DisturbanceWatch {
  private readonly model: AxisModel;
  private readonly attitudeFieldVariance: number;
  private readonly modelFieldVariance: number;
  private readonly modelDipVariance: number;
  private samples = 0;
  private fieldNt = 0;
  private dipRad = 0;
  private fieldNoise = 0;
  private dipNoise = 0;
  private referenceS = 0;
  private referenceFieldNt = 0;
  private referenceDipRad = 0;
  private raised = false;
  /** Largest departure of strength or dip, in sigmas. */
  deviationSigmas = 0;
  /** What the departure may do to the azimuth, radians; 0 while the field is clean. */
  azimuthSigmaRad = 0;

  constructor(model: AxisModel) {
    this.model = model;
    this.attitudeFieldVariance = (attitudeStrength * model.fieldNt) ** 2;
    this.modelFieldVariance = model.sigmaFieldNt ** 2 + this.attitudeFieldVariance;
    this.modelDipVariance = model.sigmaDipRad ** 2 + attitudeDipVariance;
  }

  get disturbed(): boolean {
    return this.raised;
  }

  restart(): void {
    this.samples = 0;
    this.referenceS = 0;
    this.raised = false;
    this.deviationSigmas = 0;
    this.azimuthSigmaRad = 0;
  }

  /**
   * @param turned true when the board has turned far, so that the sharp reference no longer holds
   * @param excess how many times the variance of a mean exceeds that of independent samples
   * @param warmedC since the model was made: zeros drift, too slowly for what the board saw a moment ago
   */
  offer(reading: LevelledReading, intervalS: number, turned: boolean, excess: number, warmedC: number): void {
    this.average(reading, intervalS);
    if (turned) this.referenceS = 0;
    const span = Math.min(this.samples, (2 * averageS) / intervalS + 1);
    const fieldVariance = (excess * this.fieldNoise) / span;
    const dipVariance = (excess * this.dipNoise) / span;
    const { model } = this;
    let strength = Math.abs(this.fieldNt - model.fieldNt);
    let dip = Math.abs(this.dipRad - model.dipRad);
    const driftNt = driftPerC.fieldNt * warmedC;
    const dipDriftVariance = (driftNt / model.fieldNt) ** 2 + (driftPerC.accelG * warmedC) ** 2;
    let deviation = Math.max(
      strength / Math.sqrt(this.modelFieldVariance + driftNt * driftNt + fieldVariance),
      dip / Math.sqrt(this.modelDipVariance + dipDriftVariance + dipVariance),
    );
    if (this.referenceS >= learnS) {
      const sinceStrength = Math.abs(this.fieldNt - this.referenceFieldNt);
      const sinceDip = Math.abs(this.dipRad - this.referenceDipRad);
      const since = Math.max(
        sinceStrength / Math.sqrt(this.attitudeFieldVariance + fieldVariance),
        sinceDip / Math.sqrt(attitudeDipVariance + dipVariance),
      );
      if (since > deviation) {
        deviation = since;
        strength = sinceStrength;
        dip = sinceDip;
      }
    }
    this.deviationSigmas = deviation;
    this.raised = this.samples > 5 && deviation > (this.raised ? liftedSigmas : raisedSigmas);
    // opens from half the gate on, so that the band does not leap
    const weight = Math.min(Math.max((2 * deviation) / raisedSigmas - 1, 0), 1);
    this.azimuthSigmaRad =
      (weight * Math.sqrt(strength ** 2 + (this.fieldNt * dip) ** 2)) / Math.max(reading.horizontalNt, 1);
    if (deviation < liftedSigmas) this.learn(intervalS);
  }

  private average(reading: LevelledReading, intervalS: number): void {
    this.samples += 1;
    const gain = Math.max(intervalS / (averageS + intervalS), 1 / this.samples);
    const field = reading.fieldNt - this.fieldNt;
    const dip = reading.dipRad - this.dipRad;
    if (this.samples > 1) {
      const noiseGain = Math.max(intervalS / memoryS, 1 / (this.samples - 1));
      this.fieldNoise += noiseGain * (Math.min(field * field, 25 * this.fieldNoise + 1e6) - this.fieldNoise);
      this.dipNoise += noiseGain * (Math.min(dip * dip, 25 * this.dipNoise + 1e-3) - this.dipNoise);
    }
    this.fieldNt += gain * field;
    this.dipRad += gain * dip;
  }

  private learn(intervalS: number): void {
    if (this.samples * intervalS < 2 * averageS) return;
    this.referenceS += intervalS;
    const gain = intervalS / Math.min(this.referenceS, memoryS);
    this.referenceFieldNt += gain * (this.fieldNt - this.referenceFieldNt);
    this.referenceDipRad += gain * (this.dipRad - this.referenceDipRad);
  }
}
