import type { Random } from './random.ts';
import * as gestures from './handsGesture.ts';
import type { Gesture } from './handsGesture.ts';
import type { Pose } from './handsPose.ts';
import type { BoltName, Mount } from './mount.ts';

export interface SwingOptions {
  /** From the first dwell to the last, radians; the sign is the way of turning. */
  arcRad?: number;
  dwells?: number;
  restS?: number;
}

export interface TumbleOptions {
  durationS?: number;
  /** Part of the sphere of "up" directions that is covered, 0..1. */
  coverage?: number;
}

/** What hands can be asked to do. Each call joins the queue and gives the world time, in seconds, at which it will be done. */
export interface VirtualHands {
  /** A bolt that is locked is loosened first. */
  turnBolt(bolt: BoltName, turns: number): number;
  turnAxis(toAngleRad: number): number;
  /** Turns the axis from where it stands in steps with a rest at each, then back. */
  swing(options?: SwingOptions): number;
  tumble(options?: TumbleOptions): number;
  /** Takes the board off and points its x axis along a skyline, once round. */
  sweep(skyline: (azimuthRad: number) => number, durationS?: number): number;
  clip(): number;
  reverseClip(): number;
  /** On a part along the polar axis that does not turn; end for end on it with `reversed`. */
  seat(reversed?: boolean): number;
  layOnBase(degrees: 0 | 180): number;
  setSpacer(millimetres: number): number;
  lock(bolt: BoltName): number;
  unlock(bolt: BoltName): number;
  /** Tube, counterweights and camera go on, or come off. */
  load(on: boolean): number;
  bringIron(near: boolean): number;
  /** Below the clip, where a stand-off finds it; 0 takes it away. */
  clampIron(fieldNt: number): number;
  /** Someone walks into a leg of the tripod. */
  bump(byRad: number): number;
  rest(seconds: number): number;
  drive(radPerS: number): number;
  busy(): boolean;
  /** What they are doing, as one would tell a bystander. */
  words(): string;
  /** The bolt that they are turning now. */
  boltTurned(): BoltName | undefined;
  /** Resolves when the queue is empty; the world's time must go on meanwhile. */
  whenDone(): Promise<void>;
}

interface Planned {
  gesture: Gesture;
  startS: number;
  move?: (elapsedS: number) => void;
}

export class Hands implements VirtualHands {
  private readonly pose: Pose;
  private readonly mount: Mount;
  private readonly random: Random;
  private readonly queue: Planned[] = [];
  private waiting: (() => void)[] = [];
  private nowS = 0;
  private finishS = 0;

  constructor(pose: Pose, mount: Mount, random: Random) {
    this.pose = pose;
    this.mount = mount;
    this.random = random;
  }

  perform(...list: Gesture[]): number {
    for (const gesture of list) {
      const startS = this.readyS;
      this.queue.push({ gesture, startS });
      this.finishS = startS + gesture.durationS;
    }
    return this.finishS;
  }

  /** World time at which all that was asked will be done. */
  get readyS(): number {
    return Math.max(this.nowS, this.finishS);
  }

  /** Carries on what is going on to `worldS`. */
  advanceTo(worldS: number): void {
    this.nowS = worldS;
    while (this.queue.length > 0 && this.queue[0].startS <= worldS) {
      const current = this.queue[0];
      current.move ??= current.gesture.begin(this.pose, this.mount);
      const elapsedS = worldS - current.startS;
      current.move(Math.min(elapsedS, current.gesture.durationS));
      if (elapsedS < current.gesture.durationS) break;
      this.queue.shift();
    }
    if (this.queue.length > 0 || this.waiting.length === 0) return;
    const done = this.waiting;
    this.waiting = [];
    for (const resolve of done) resolve();
  }

  turnBolt(bolt: BoltName, turns: number): number {
    return this.perform(gestures.turnBolt(bolt, turns));
  }

  turnAxis(toAngleRad: number): number {
    return this.perform(gestures.turnAxis(toAngleRad, 1.8 + 0.4 * Math.abs(toAngleRad - this.mount.axisAngleRad)));
  }

  swing({ arcRad = 2 * Math.PI * (11 / 12), dwells = 12, restS = 1.6 }: SwingOptions = {}): number {
    const first = this.mount.axisAngleRad;
    for (let i = 0; i < dwells; i += 1) {
      if (i > 0) this.perform(gestures.turnAxis(first + (arcRad * i) / (dwells - 1), 1 + 0.6 * this.random.uniform()));
      this.perform(gestures.rest(restS * (1 + 0.3 * this.random.uniform()), 'letting the axis rest'));
    }
    return this.perform(gestures.turnAxis(first, 4));
  }

  tumble({ durationS = 30, coverage = 1 }: TumbleOptions = {}): number {
    const phaseRad = this.random.between(0, 2 * Math.PI);
    return this.perform(gestures.tumble({ coverage, turns: 6.4, restEveryS: 1.5, durationS, phaseRad }));
  }

  sweep(skyline: (azimuthRad: number) => number, durationS = 60): number {
    return this.perform(gestures.sweep(skyline, durationS));
  }

  clip(): number {
    return this.perform(gestures.carry({ placement: 'axis', words: 'clipping the board to the axis' }));
  }

  reverseClip(): number {
    return this.perform(
      gestures.carry({ placement: 'axis', reversed: true, words: 'clipping the board on end for end' }),
    );
  }

  seat(reversed = false): number {
    const words = reversed
      ? 'clipping the board end for end on the same seat'
      : 'clipping the board on a part that does not turn';
    return this.perform(gestures.carry({ placement: 'seat', reversed, words }));
  }

  layOnBase(degrees: 0 | 180): number {
    const words = `laying the board on the base${degrees === 180 ? ', turned by half a turn' : ''}`;
    return this.perform(gestures.carry({ placement: 'base', turnedOnBase: degrees === 180, words }));
  }

  setSpacer(millimetres: number): number {
    return this.perform(gestures.putSpacer(millimetres / 1000));
  }

  lock(bolt: BoltName): number {
    return this.perform(gestures.lockBolt(bolt, true));
  }

  unlock(bolt: BoltName): number {
    return this.perform(gestures.lockBolt(bolt, false));
  }

  load(on: boolean): number {
    return this.perform(gestures.load(on));
  }

  bringIron(near: boolean): number {
    return this.perform(gestures.bringIron(near));
  }

  clampIron(fieldNt: number): number {
    return this.perform(gestures.clampIron(fieldNt));
  }

  bump(byRad: number): number {
    return this.perform(gestures.bump(byRad, this.random.between(0, 2 * Math.PI)));
  }

  rest(seconds: number): number {
    return this.perform(gestures.rest(seconds));
  }

  drive(radPerS: number): number {
    return this.perform(gestures.drive(radPerS));
  }

  /** Ends what is going on after the gesture under way; the rest of what was asked is dropped. */
  letGo(): void {
    const [current] = this.queue;
    this.queue.length = Math.min(this.queue.length, 1);
    this.finishS = current ? current.startS + current.gesture.durationS : this.nowS;
  }

  /** They have locked a bolt; turning it loosens it. */
  haveLocked(): boolean {
    return this.mount.isLocked;
  }

  busy(): boolean {
    return this.queue.length > 0;
  }

  words(): string {
    return this.gestureNow()?.words ?? 'hands off';
  }

  boltTurned(): BoltName | undefined {
    return this.gestureNow()?.bolt;
  }

  whenDone(): Promise<void> {
    return this.busy() ? new Promise((resolve) => this.waiting.push(resolve)) : Promise.resolve();
  }

  private gestureNow(): Gesture | undefined {
    return this.queue.find((planned) => planned.startS <= this.nowS)?.gesture;
  }
}
