import { degree } from '../../calibration/angle.ts';
import { fromNed, type Horizontal } from '../../calibration/polarAxis.ts';
import {
  apply,
  cross,
  multiply,
  normalise,
  rotationAbout,
  type Matrix3,
  type Vector3,
} from '../../calibration/vector.ts';
import type { BoltMake } from './scene.ts';

export type BoltName = 'altitude' | 'azimuth';

const down: Vector3 = [0, 0, 1];
/** A hand at a bolt, and a clamp that is tightened. */
const turnsPerS = 0.4;
const lockingRadPerS = 0.1 * degree;

/** A bolt with free play: the mechanism follows only when the play is used up. */
class Bolt {
  readonly make: BoltMake;
  /** Of the bolt itself, turns from where it stood first. */
  turns = 0;
  wantedTurns = 0;
  private isLocked = false;
  private mechanismTurns = 0;
  private shiftRad = 0;
  private lockedShiftRad: number;
  private readonly eachLocking: () => number;

  /** @param eachLocking draws how far tightening moves the mechanism this time */
  constructor(make: BoltMake, eachLocking: () => number) {
    this.make = make;
    this.eachLocking = eachLocking;
    this.lockedShiftRad = 0;
  }

  get locked(): boolean {
    return this.isLocked;
  }
  set locked(locked: boolean) {
    if (locked && !this.isLocked) this.lockedShiftRad = this.eachLocking();
    this.isLocked = locked;
  }

  /** How far the mechanism stands from where it stood first, the shift by locking included. */
  get angleRad(): number {
    return this.mechanismTurns * this.make.radPerTurn + this.shiftRad;
  }

  advance(elapsedS: number): void {
    const wantedShift = this.locked ? this.lockedShiftRad : 0;
    this.shiftRad += limited(wantedShift - this.shiftRad, lockingRadPerS * elapsedS);
    if (this.locked) this.wantedTurns = this.turns;
    this.turns += limited(this.wantedTurns - this.turns, turnsPerS * elapsedS);
    const play = this.make.backlashTurns / 2;
    this.mechanismTurns = Math.min(Math.max(this.mechanismTurns, this.turns - play), this.turns + play);
  }
}

const limited = (value: number, limit: number): number => Math.max(-limit, Math.min(limit, value));

interface MountSetUp {
  /** The base's rotation from level: a small rotation about a horizontal axis. */
  tilt: Matrix3;
  southern: boolean;
  bolts: { altitude: BoltMake; azimuth: BoltMake };
  /** Repeatable part of what tightening each bolt does. */
  lockedShiftRad: { altitude: number; azimuth: number };
  /** Draws what differs from one locking to the next; absent: nothing does. */
  lockingScatterRad?: () => number;
  /** How far the instrument's weight moves the axis; absent: not at all. */
  loadShiftRad?: () => { altitude: number; azimuth: number };
  /** Where the axis points at first, in the frame of the base: azimuth clockwise from the base's own north. */
  first: Horizontal;
}

/** An equatorial mount: azimuth about the tilted base's vertical, altitude across it, and the right-ascension axis. */
export class Mount {
  /** The base's rotation from level; a bump changes it. */
  tilt: Matrix3;
  readonly altitude: Bolt;
  readonly azimuth: Bolt;
  /** Turn of the right-ascension axis, right-handed about the direction toward the elevated pole. */
  axisAngleRad = 0;
  /** Speed by which it turns of itself, when a drive runs. */
  driveRadPerS = 0;
  /** How much of the instrument is on, 0 to 1. */
  loadShare = 0;
  private loadRad = { altitude: 0, azimuth: 0 };
  private readonly loadShiftRad: MountSetUp['loadShiftRad'];
  private readonly first: Horizontal;
  private readonly eastward: 1 | -1;

  constructor({ tilt, southern, bolts, lockedShiftRad, lockingScatterRad, loadShiftRad, first }: MountSetUp) {
    const scatter = lockingScatterRad ?? (() => 0);
    this.tilt = tilt;
    this.loadShiftRad = loadShiftRad;
    this.first = first;
    this.eastward = southern ? -1 : 1;
    this.altitude = new Bolt(bolts.altitude, () => lockedShiftRad.altitude + scatter());
    this.azimuth = new Bolt(bolts.azimuth, () => lockedShiftRad.azimuth + scatter());
  }

  /** The instrument is about to be put on: how far its weight will move the axis this time. */
  beginLoad(): void {
    this.loadRad = this.loadShiftRad?.() ?? this.loadRad;
  }

  advance(elapsedS: number): void {
    this.altitude.advance(elapsedS);
    this.azimuth.advance(elapsedS);
    this.axisAngleRad += this.driveRadPerS * elapsedS;
  }

  /** By hand: nobody turns a bolt that is still locked. */
  turnBolt(bolt: BoltName, turns: number): void {
    this[bolt].locked = false;
    this[bolt].wantedTurns += turns;
  }

  get isLocked(): boolean {
    return this.altitude.locked || this.azimuth.locked;
  }

  /** Seconds that the bolts still need to reach what was asked of them. */
  get settlingS(): number {
    const left = (bolt: Bolt): number => (bolt.locked ? 0 : Math.abs(bolt.wantedTurns - bolt.turns));
    return Math.max(left(this.altitude), left(this.azimuth)) / turnsPerS;
  }

  /** The turning part at axis angle 0 to north-east-down: x along the polar axis, z upward across it, y = z x x. */
  get axisFrame(): Matrix3 {
    const altitude = this.first.altitudeRad + this.altitude.angleRad + this.loadShare * this.loadRad.altitude;
    const eastRad = this.azimuth.angleRad + this.loadShare * this.loadRad.azimuth;
    const azimuth = this.first.azimuthRad + this.eastward * eastRad;
    return multiply(this.tilt, axisFrameOf({ altitudeRad: altitude, azimuthRad: azimuth }));
  }

  /** The turning part as it stands to north-east-down. */
  get turningFrame(): Matrix3 {
    return multiply(this.axisFrame, rotationAbout([1, 0, 0], this.axisAngleRad));
  }

  /** The polar axis, toward the elevated pole. */
  get polarAxis(): Horizontal {
    return fromNed(apply(this.axisFrame, [1, 0, 0]));
  }
}

/** Axis frame of a mount on a level base: x along the axis, z upward across it in the vertical plane, y = z x x. */
export function axisFrameOf({ altitudeRad, azimuthRad }: Horizontal): Matrix3 {
  const c = Math.cos(altitudeRad);
  const s = Math.sin(altitudeRad);
  return multiply(rotationAbout(down, azimuthRad), [c, 0, -s, 0, -1, 0, -s, 0, -c]);
}

/** Rotation that tilts a level base by `tiltRad` so that its side at `azimuthRad` goes down. */
export function baseTilt(tiltRad: number, azimuthRad: number): Matrix3 {
  const toward: Vector3 = [Math.cos(azimuthRad), Math.sin(azimuthRad), 0];
  return rotationAbout(normalise(cross(toward, down)), tiltRad);
}
