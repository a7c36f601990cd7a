import {
  add,
  apply,
  cross,
  normalise,
  rotationAbout,
  scale,
  transpose,
  type Vector3,
} from '../../calibration/vector.ts';
import type { SensorNoise, TumbleSample } from '../../calibration/tumble/types.ts';
import type { Random } from '../../firmware-proto/virtual/random.ts';
import { exactReading, noisyReading, randomAttitude, type RandomBoard } from './tumble-boards.ts';

/** A hand that turns the board smoothly: what its accelerometer feels besides gravity. */
export interface Hand {
  seconds: number;
  samplesPerS: number;
  /** Rms of each component of the angular rate, and how long it stays alike. */
  rateRadPerS: number;
  rateTimeS: number;
  /** Standard deviation of each component of the board's place from the point about which the hand turns it. */
  leverM: number;
  /** The hand's own to and fro: standard deviation per axis and correlation time. */
  jitterG: number;
  jitterTimeS: number;
  /** The hand holds still for `restS` after every `turnS`; never when 0. */
  restS: number;
  turnS: number;
}

const gravityMPerS2 = 9.80665;

/** A first-order Gauss-Markov process of unit variance, three components. */
class Wander {
  private readonly random: Random;
  private readonly keep: number;
  value: Vector3;

  constructor(random: Random, stepS: number, timeS: number) {
    this.random = random;
    this.keep = Math.exp(-stepS / timeS);
    this.value = random.normal3(1);
  }

  next(): Vector3 {
    this.value = add(scale(this.value, this.keep), this.random.normal3(Math.sqrt(1 - this.keep ** 2)));
    return this.value;
  }
}

/** One continuous tumble: readings with their time. */
export function handTumble(random: Random, board: RandomBoard, noise: SensorNoise, hand: Hand): TumbleSample[] {
  const stepS = 1 / hand.samplesPerS;
  const count = Math.round(hand.seconds * hand.samplesPerS);
  const lever = random.normal3(hand.leverM);
  // Twice smoothed, so that the angular acceleration is finite.
  const push = new Wander(random, stepS, hand.rateTimeS / 2);
  const jitter = new Wander(random, stepS, hand.jitterTimeS);
  const start = randomAttitude(random, board.dipRad);
  let [up, field] = [start.up, start.field];
  let rate: Vector3 = [0, 0, 0];
  const follow = Math.exp((-2 * stepS) / hand.rateTimeS);
  const samples: TumbleSample[] = [];
  for (let i = 0; i < count; i += 1) {
    const phaseS = (i * stepS) % (hand.turnS + hand.restS);
    const rests = hand.restS > 0 && phaseS > hand.turnS;
    const wanted = rests ? ([0, 0, 0] as const) : scale(push.next(), Math.SQRT2 * hand.rateRadPerS);
    const next = add(scale(rate, rests ? 0.7 : follow), scale(wanted, rests ? 0.3 : 1 - follow));
    const acceleration = scale(add(next, scale(rate, -1)), 1 / stepS);
    rate = next;
    const length = Math.hypot(...rate);
    if (length > 0) {
      const back = transpose(rotationAbout(scale(rate, 1 / length), length * stepS));
      up = normalise(apply(back, up));
      field = normalise(apply(back, field));
    }
    const felt = scale(add(cross(rate, cross(rate, lever)), cross(acceleration, lever)), 1 / gravityMPerS2);
    const shaken = scale(jitter.next(), rests ? 0 : hand.jitterG);
    const exact = exactReading(board, add(add(up, felt), shaken), field);
    samples.push({ ...noisyReading(random, exact, noise), boardS: i * stepS });
  }
  return samples;
}
