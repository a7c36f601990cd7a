import { arcminute, degree } from '../../calibration/angle.ts';
import type { Eyepiece } from '../../host/live/eyepiece.ts';
import type { LinkStatus } from '../../host/link/linkStatus.ts';
import type { LiveSession, Needles, VirtualMount } from '../../host/live/session.ts';
import { shownAsTheyAre } from '../unit/needlesAtRest.ts';
import type { Site } from '../../host/site/site.ts';

/** By day at the scripted site: what the page shows of light must not hang on the hour of the test. */
export const scriptedNoon = new Date('2027-01-15T19:40:00Z');

const arrivalS = (): number => performance.now() / 1000;

/** A session that says what a test tells it to: needles are set by hand and stream until the board is "killed". */
export class ScriptedSession implements LiveSession {
  readonly source = 'scripted board of a test';
  readonly site: Site = { latitudeRad: 47 * degree, longitudeRad: -112.5 * degree, elevationM: 400 };
  readonly turned: { bolt: 'altitude' | 'azimuth'; turns: number }[] = [];
  altitudeErrorRad = -3 * arcminute;
  azimuthErrorRad = 41 * arcminute;
  sigmaAltitudeErrorRad = 1.5 * arcminute;
  sigmaAzimuthErrorRad = 22 * arcminute;
  state: Needles['state'] = 'still';
  private readonly needles = new Set<(needles: Needles) => void>();
  private readonly links = new Set<(status: LinkStatus) => void>();
  private status: LinkStatus = { state: 'streaming', words: 'The board streams.', counters: {} };
  private newest: Needles | undefined;
  private timer: NodeJS.Timeout | undefined;
  private readonly at: Date | undefined;

  /** An eye that only looks at the clock on the wall, or at one that stands still. */
  constructor(at?: Date) {
    this.at = at;
  }

  /** Streams a reading every `intervalMs`. */
  start(intervalMs = 20): this {
    this.emit();
    this.timer = setInterval(() => this.emit(), intervalMs);
    return this;
  }

  emit(): void {
    const latest = shownAsTheyAre({
      utcMs: Date.now(),
      arrivalS: arrivalS(),
      altitudeErrorRad: this.altitudeErrorRad,
      azimuthErrorRad: this.azimuthErrorRad,
      distanceRad: Math.hypot(this.altitudeErrorRad, this.azimuthErrorRad * Math.cos(47 * degree)),
      sigmaAltitudeErrorRad: this.sigmaAltitudeErrorRad,
      sigmaAzimuthErrorRad: this.sigmaAzimuthErrorRad,
      sigmaDistanceRad: Math.hypot(this.sigmaAltitudeErrorRad, this.sigmaAzimuthErrorRad * Math.cos(47 * degree)),
      state: this.state,
      fieldDeviationSigmas: 0.4,
      temperatureC: 8,
      isOffClip: Math.abs(this.altitudeErrorRad) > 20 * degree,
    });
    this.newest = latest;
    for (const listener of this.needles) listener(latest);
  }

  /** The board falls silent, as when its cable is pulled. */
  kill(): void {
    clearInterval(this.timer);
    this.setLink({
      state: 'lost',
      words: 'The board is gone. Plug it in again; nothing else is needed.',
      counters: {},
    });
  }

  revive(): void {
    this.setLink({ state: 'streaming', words: 'The board streams.', counters: {} });
    this.start();
  }

  /** The link says something new. */
  announce(words: string): void {
    this.setLink({ state: 'streaming', words, counters: {} });
  }

  private setLink(status: LinkStatus): void {
    this.status = status;
    for (const listener of this.links) listener(status);
  }

  latest(): Needles | undefined {
    return this.newest;
  }

  link(): LinkStatus {
    return this.status;
  }

  onNeedles(listener: (needles: Needles) => void): () => void {
    this.needles.add(listener);
    return () => this.needles.delete(listener);
  }

  onSample(): () => void {
    return () => {};
  }

  onLink(listener: (status: LinkStatus) => void): () => void {
    this.links.add(listener);
    return () => this.links.delete(listener);
  }

  readonly clipping = undefined;
  readonly knobs: LiveSession['knobs'] = {};
  /** Without hands, and with an eye for the time alone. */
  private readonly bolts: Partial<VirtualMount> = {
    turnBolt: (bolt, turns) => this.turnBolt(bolt, turns),
    tellHands: () => {},
    eyepiece: { utc: () => this.at ?? new Date() } as Eyepiece,
    pinShadow: { see: () => undefined, read: () => undefined },
  };
  readonly virtual = this.bolts as VirtualMount;

  notes(): readonly string[] {
    return [];
  }

  hello(): ReturnType<LiveSession['hello']> {
    return undefined;
  }

  axisModel(): ReturnType<LiveSession['axisModel']> {
    return undefined;
  }

  useAxisModel(): void {}

  readonly anchors: Parameters<LiveSession['anchorTo']>[0][] = [];

  anchorTo(known: Parameters<LiveSession['anchorTo']>[0]): void {
    this.anchors.push(known);
  }

  onSoundLine(): () => void {
    return () => {};
  }

  selfTest(): void {}

  takeBoard(): void {}

  turnBolt(bolt: 'altitude' | 'azimuth', turns: number): void {
    this.turned.push({ bolt, turns });
    if (bolt === 'altitude') this.altitudeErrorRad += turns * degree;
    else this.azimuthErrorRad += turns * degree;
  }

  async close(): Promise<void> {
    clearInterval(this.timer);
  }
}
