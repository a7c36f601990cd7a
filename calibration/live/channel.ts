/** Time constants of the means that watch the innovation, seconds, shortest first. */
const watchS = [0.06, 0.24, 0.96] as const;
/**
 * A mean that leaves zero by this many of its own sigmas is motion, not noise. The longer the mean, the fewer chances it has to
 * err and the less a false alarm costs, so the lower its gate: about one false alarm in half an hour in all.
 */
const gateSigmas = [4.5, 4.1, 3.4] as const;
/**
 * While no mean has left its gate, the needle may still lag behind a motion that has just begun: by what a mean exceeds this many of
 * its own sigmas, times the lead, since the mean holds only a part of such a motion.
 */
const doubtSigmas = 2;
const onsetLead = 3;
/** The longest memory of the quiet needle, seconds. */
const longestS = 6;
/** Motion noticed twice within this time is one motion, seconds. */
const againS = 3;
/** The same way again within `againS` it needs less: noise goes back where it came from. */
const againGates = 0.7;
/** A gate left by this much, or left twice within `againS`, is motion past doubt; left once by a hair it may be noise, of which nothing is said. */
const surelyGates = 1.12;
/** The word "moving" outlasts motion by this, and spans the pauses of motion that is noticed again and again, seconds. */
export const settleS = 0.5;
const pauseSpanned = 1.3;
/** Memory of the noise estimate, seconds. */
const noiseMemoryS = 20;
/** A mean may teach at most this many times the variance that was expected of it. */
const excessClip = 5;
/** Samples after which the measured noise is believed. */
const firstSamples = 25;
/** No chip is believed to be quieter than this a sample (about a third of a count of a 12-bit accelerometer), radians. */
const quietestRad = 3e-4;

/**
 * One component of the axis' direction: a running mean at rest, a short mean in motion.
 *
 * The innovation (reading minus estimate) is watched by means of three lengths. While all stay inside their gates the estimate is
 * the mean of everything since the last motion, so its sigma falls with the root of time. When one leaves its gate the estimate
 * jumps toward that mean and forgets what was before: large steps are followed within a tenth of a second,
 * small ones as soon as they can be told from noise.
 *
 * Noise is measured, not assumed: the variance of one sample, and by how much the longer means vary more than independent samples
 * would let them (correlated noise), which then widens both the gates and the stated sigma.
 */
export class NeedleChannel {
  /** The newest innovation made the estimate jump. */
  hasJumped = false;
  private readonly mean = new Float64Array(watchS.length);
  private readonly count = new Float64Array(watchS.length);
  /** Effective number of samples in each mean. */
  private readonly span = new Float64Array(watchS.length);
  /** How many times the variance of a mean exceeds that of independent samples; 1 when they are. */
  private readonly excess = new Float64Array(watchS.length).fill(1);
  private readonly learnedS = new Float64Array(watchS.length);
  private readonly firstSigmaRad: number;
  private noiseVariance = 0;
  private noiseCount = 0;
  private samples = 0;
  private holdS = 0;
  private holdSpan = 0;
  /** What was behind when motion was last noticed, fading as quickly as it could be noticed again. */
  private lagRad = 0;
  private lagS = 1;
  private sinceMotionS = Infinity;
  /** The word "moving" stays for this long yet. */
  private wordS = 0;
  private lastWay = 0;
  /** What the newest reading still lies off the estimate. */
  private leftRad = 0;

  /** @param firstSigmaRad what the noise of a sample is taken for until it has been measured */
  constructor(firstSigmaRad: number) {
    this.firstSigmaRad = firstSigmaRad;
  }

  /** Forgets the estimate but not the noise: after a gap or a restart of the board. */
  restart(): void {
    this.mean.fill(0);
    this.count.fill(0);
    this.samples = 0;
    this.holdS = 0;
    this.lagRad = 0;
    this.sinceMotionS = 0;
    this.wordS = settleS;
  }

  /** The needle has moved past doubt a moment ago. */
  get isMoving(): boolean {
    return this.wordS > 0;
  }

  /**
   * Takes one innovation and returns what must be added to the estimate.
   * @param innovationRad reading minus estimate (minus prediction, where motion is carried by a gyro)
   * @param intervalS time since the last sample
   * @param restful true when nothing else speaks of motion, so that what varies may be taken for noise
   */
  offer(innovationRad: number, intervalS: number, restful: boolean): number {
    this.hasJumped = false;
    this.sinceMotionS += intervalS;
    this.wordS -= intervalS;
    this.holdS -= intervalS;
    this.lagRad *= this.lagS / (this.lagS + intervalS);
    if (this.samples === 0) {
      this.samples = 1;
      return innovationRad;
    }
    this.watch(innovationRad, intervalS, restful);
    const variance = this.variance();
    const ofEstimate = (variance * this.longestExcess()) / this.samples;
    for (let k = 0; k < watchS.length; k += 1) {
      if (this.count[k] * intervalS < watchS[k]) continue;
      const squared = this.mean[k] * this.mean[k];
      const expected = (variance * this.excess[k]) / this.span[k] + ofEstimate;
      const gate = gateSigmas[k] * gateSigmas[k] * expected;
      if (squared <= againGates * againGates * gate) continue;
      const goesOn = this.sinceMotionS < againS && Math.sign(this.mean[k]) === this.lastWay;
      const limit = goesOn ? againGates * againGates * gate : gate;
      if (squared > limit) return this.jump(k, innovationRad, squared > surelyGates * surelyGates * limit);
    }
    const most = this.holdS > 0 ? this.holdSpan : longestS / intervalS;
    this.samples = Math.min(this.samples + 1, Math.max(most, 2));
    return this.shift(innovationRad / this.samples, innovationRad);
  }

  /** Standard deviation of the estimate from noise and lag alone, radians. */
  sigmaRad(): number {
    const variance = this.variance();
    const isHeld = this.holdS > 0;
    let lag = this.lagRad * this.lagRad;
    // in motion each jump goes a part of the way only: what the newest reading is off by more than its noise is way still to go
    if (isHeld) lag = Math.max(lag, Math.max(Math.abs(this.leftRad) - doubtSigmas * Math.sqrt(variance), 0) ** 2);
    for (let k = 0; k < watchS.length; k += 1) {
      if (this.count[k] < 3) continue;
      const squared = this.mean[k] * this.mean[k];
      const doubt = (doubtSigmas * doubtSigmas * variance * this.excess[k]) / this.span[k];
      // no roots while there is no doubt, since this runs for every sample
      if (isHeld) lag = Math.max(lag, squared);
      else if (squared > doubt) lag = Math.max(lag, (onsetLead * (Math.sqrt(squared) - Math.sqrt(doubt))) ** 2);
    }
    return Math.sqrt((variance * this.longestExcess()) / this.samples + lag);
  }

  /** The part of `sigmaRad` that is noise of a needle at rest, without doubt about a motion that may have begun. */
  restSigmaRad(): number {
    return Math.sqrt((this.variance() * this.longestExcess()) / Math.max(this.samples, 1));
  }

  private variance(): number {
    const least = this.noiseCount < firstSamples ? this.firstSigmaRad : quietestRad;
    return Math.max(this.noiseVariance, least * least);
  }

  /** How many times the variance of a mean exceeds that of independent samples. */
  longestExcess(): number {
    return Math.max(this.excess[0], this.excess[1], this.excess[2]);
  }

  private watch(innovationRad: number, intervalS: number, restful: boolean): void {
    if (this.count[0] >= 3) this.learnNoise(innovationRad - this.mean[0], intervalS);
    const variance = this.variance();
    for (let k = 0; k < watchS.length; k += 1) {
      this.count[k] += 1;
      const gain = Math.max(intervalS / (watchS[k] + intervalS), 1 / this.count[k]);
      this.mean[k] += gain * (innovationRad - this.mean[k]);
      // a mean of n, or an exponential mean of gain g, which is worth (2 - g) / g independent samples
      this.span[k] = Math.min(this.count[k], (2 - gain) / gain);
      if (restful && this.count[k] * intervalS > watchS[k]) this.learnExcess(k, variance, intervalS);
    }
  }

  /** The newest innovation against the shortest mean before it: blind to motion that is slow against a few samples. */
  private learnNoise(difference: number, intervalS: number): void {
    const squared = (difference * difference * this.span[0]) / (this.span[0] + 1);
    this.noiseCount += 1;
    const gain = Math.max(intervalS / noiseMemoryS, 1 / this.noiseCount);
    // a blow on the tripod must not blind the gate for the next minute
    const most = this.noiseCount > 30 ? 16 * this.noiseVariance + quietestRad * quietestRad : Infinity;
    this.noiseVariance += gain * (Math.min(squared, most) - this.noiseVariance);
  }

  private learnExcess(k: number, variance: number, intervalS: number): void {
    this.learnedS[k] += intervalS;
    const memoryS = Math.min(Math.max(noiseMemoryS, 12 * watchS[k]), this.learnedS[k] + 4 * watchS[k]);
    // one real motion may not teach much
    const ratio = (this.mean[k] * this.mean[k] * this.span[k]) / variance;
    const clipped = Math.min(ratio, excessClip * this.excess[k]);
    this.excess[k] = Math.max(1, this.excess[k] + (intervalS / memoryS) * (clipped - this.excess[k]));
  }

  /** To the next shorter mean, which holds less of what was before the motion. */
  private jump(k: number, innovationRad: number, isSure: boolean): number {
    const to = Math.max(k - 1, 0);
    const step = this.mean[to];
    this.hasJumped = true;
    this.samples = Math.max(this.span[to], 2);
    this.holdSpan = this.samples;
    this.holdS = 3 * watchS[to];
    this.lagRad = Math.abs(step);
    this.lastWay = Math.sign(step);
    // in steady motion the lag grows back to what it was until motion is noticed again
    this.lagS = Math.max(2 * watchS[k], this.sinceMotionS < againS ? 1.5 * this.sinceMotionS : 0);
    const isAgain = this.sinceMotionS < againS;
    if (isSure || isAgain) this.wordS = Math.max(settleS, isAgain ? pauseSpanned * this.sinceMotionS : 0);
    this.sinceMotionS = 0;
    for (let longer = to + 1; longer < watchS.length; longer += 1) {
      this.count[longer] = 0;
      this.mean[longer] = step;
    }
    return this.shift(step, innovationRad);
  }

  private shift(stepRad: number, innovationRad: number): number {
    this.leftRad = innovationRad - stepRad;
    for (let k = 0; k < watchS.length; k += 1) this.mean[k] -= stepRad;
    return stepRad;
  }
}
