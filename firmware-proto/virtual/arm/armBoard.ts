import type { VirtualBoard } from '../board.ts';
import { Lsm303agrAccelerometer } from '../lsm303agrAccelerometer.ts';
import { Lsm303agrMagnetometer } from '../lsm303agrMagnetometer.ts';
import type { RawCounts } from '../rawCounts.ts';
import type { TwoWireDevice } from '../twoWire.ts';
import type { World } from '../world.ts';
import type { OpenDrain } from './openDrain.ts';

const tickMs = 4;
const longestCatchUpS = 0.1;

/** An emulated processor from one reset to the next. */
interface ArmProcessor {
  readonly nanos: number;
  /** Nanoseconds in which it did not sleep. */
  readonly busyNanos: number;
  readonly bitten: boolean;
  readonly bus: OpenDrain;
  readonly flash: Uint8Array;
  readonly lightIsOn: boolean;
  runTo(nanos: number): void;
  feed(bytes: Uint8Array): void;
  hang(): void;
}

interface ArmParts {
  flash: Uint8Array;
  byWatchdog: boolean;
  devices: readonly TwoWireDevice[];
  onByte: (byte: number) => void;
}

/** An image on an emulated ARM processor, with the chips at register level, in a world around them. */
export class ArmBoard<Processor extends ArmProcessor = ArmProcessor> implements VirtualBoard {
  readonly world: World;
  readonly accelerometer: Lsm303agrAccelerometer;
  readonly magnetometer: Lsm303agrMagnetometer;
  processor: Processor;
  private readonly create: (parts: ArmParts) => Processor;
  private readonly image: Uint8Array;
  private readonly listeners = new Set<(bytes: Uint8Array) => void>();
  private startS = 0;
  private busyBeforeReset = 0;
  private latestSampleS = 0;
  private sent: number[] = [];
  private timer: NodeJS.Timeout | undefined;

  /** `flash`: the image and what was kept, as a whole. */
  constructor(world: World, flash: Uint8Array, create: (parts: ArmParts) => Processor) {
    this.world = world;
    this.image = Uint8Array.from(flash);
    this.create = create;
    const nowS = (): number => this.nowS;
    const countsAt = (worldS: number): RawCounts => {
      this.latestSampleS = Math.max(this.latestSampleS, worldS);
      return world.countsAt(this.latestSampleS);
    };
    this.accelerometer = new Lsm303agrAccelerometer(countsAt, nowS, 1.013);
    this.magnetometer = new Lsm303agrMagnetometer(countsAt, nowS, 0.994);
    this.processor = this.newProcessor(Uint8Array.from(this.image), false);
  }

  get nowS(): number {
    return this.startS + (this.processor?.nanos ?? 0) / 1e9;
  }
  get busyS(): number {
    return (this.busyBeforeReset + this.processor.busyNanos) / 1e9;
  }
  get lightIsOn(): boolean {
    return this.processor.lightIsOn;
  }

  onBytes(listener: (bytes: Uint8Array) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  write(bytes: Uint8Array): void {
    this.processor.feed(bytes);
  }

  start(): void {
    if (this.timer) return;
    let epochS = performance.now() / 1000 - this.nowS;
    this.timer = setInterval(() => {
      const dueS = performance.now() / 1000 - epochS;
      const targetS = Math.min(dueS, this.nowS + longestCatchUpS);
      epochS += dueS - targetS;
      this.stepTo(targetS);
    }, tickMs);
  }

  close(): Promise<void> {
    clearInterval(this.timer);
    this.timer = undefined;
    this.listeners.clear();
    return Promise.resolve();
  }

  /** Runs to `worldS` as fast as it can, and sends what the board sends meanwhile. */
  stepTo(worldS: number): void {
    for (;;) {
      this.processor.runTo((worldS - this.startS) * 1e9);
      if (!this.processor.bitten) break;
      this.restart('watchdog');
    }
    if (this.sent.length === 0) return;
    const bytes = Uint8Array.from(this.sent);
    this.sent = [];
    for (const listener of this.listeners) listener(bytes);
  }

  /** A reset; the flash keeps what the program wrote, and the program itself is whole again. */
  restart(cause: 'power' | 'watchdog'): void {
    const { nowS } = this;
    this.busyBeforeReset += this.processor.busyNanos;
    const flash = Uint8Array.from(this.processor.flash);
    flash.set(this.image.subarray(0, flash.length / 2));
    if (cause === 'power') {
      this.accelerometer.powerUp();
      this.magnetometer.powerUp();
    }
    this.processor = this.newProcessor(flash, cause === 'watchdog');
    this.startS = nowS;
  }

  private newProcessor(flash: Uint8Array, byWatchdog: boolean): Processor {
    return this.create({
      flash,
      byWatchdog,
      devices: [this.accelerometer, this.magnetometer],
      onByte: (byte) => this.sent.push(byte),
    });
  }
}
