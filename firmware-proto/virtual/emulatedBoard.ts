import { makeChips, type BoardChipNames } from './chips/models.ts';
import type { SensorChip } from './chips/sensorChip.ts';
import { SteppedBoard } from './steppedBoard.ts';
import type { World } from './world.ts';

const ownChips: BoardChipNames = { accelerometer: 'LSM303AGR', magnetometer: 'LSM303AGR' };

/** What every emulated processor has in common, from one reset to the next. */
export interface EmulatedProcessor {
  /** Seconds since its reset, and of them those in which it did not sleep. */
  readonly elapsedS: number;
  readonly awakeS: number;
  readonly bitten: boolean;
  readonly lightIsOn: boolean;
  runTo(elapsedS: number): void;
  feed(bytes: Uint8Array): void;
  hang(): void;
}

/** An image on an emulated processor, with the chips at register level, in a world around them. */
export abstract class EmulatedBoard<Processor extends EmulatedProcessor, SomeWorld extends World> extends SteppedBoard {
  readonly world: SomeWorld;
  readonly accelerometer: SensorChip;
  readonly magnetometer: SensorChip;
  /** All on its bus. */
  protected readonly onTheBus: readonly SensorChip[];
  abstract processor: Processor;
  private sent: number[] = [];
  /** World time of the processor's reset. */
  private resetS: number;
  private awakeBeforeReset = 0;
  private latestSampleS: number;

  protected constructor(world: SomeWorld, startS: number, chips: BoardChipNames = ownChips) {
    super({ tickMs: 4, longestCatchUpS: 0.1 });
    this.world = world;
    this.resetS = startS;
    this.latestSampleS = startS;
    const { accelerometer, magnetometer, all } = makeChips(chips, {
      // The chips ask in turn, each for the instants of its own clock; the world goes forward only.
      countsAt: (worldS) => {
        this.latestSampleS = Math.max(this.latestSampleS, worldS);
        return world.countsAt(this.latestSampleS);
      },
      nowS: () => this.nowS,
    });
    this.accelerometer = accelerometer;
    this.magnetometer = magnetometer;
    this.onTheBus = all;
  }

  get nowS(): number {
    return this.resetS + (this.processor?.elapsedS ?? 0);
  }

  /** Time in which the processor did not sleep, seconds. */
  get busyS(): number {
    return this.awakeBeforeReset + this.processor.awakeS;
  }

  get lightIsOn(): boolean {
    return this.processor.lightIsOn;
  }

  write(bytes: Uint8Array): void {
    this.processor.feed(bytes);
  }

  hang(): void {
    this.processor.hang();
  }

  stepTo(worldS: number): void {
    for (;;) {
      this.processor.runTo(worldS - this.resetS);
      if (!this.processor.bitten) break;
      this.restart('watchdog');
    }
    if (this.sent.length === 0) return;
    const bytes = Uint8Array.from(this.sent);
    this.sent = [];
    this.send(bytes);
  }

  abstract restart(cause: 'power' | 'watchdog'): void;

  protected readonly onByte = (byte: number): void => void this.sent.push(byte);

  /** Another processor takes the place of the one before; chips without a supply have forgotten their settings. */
  protected replaceProcessor(processor: Processor, supplyFailed: boolean): void {
    const { nowS } = this;
    this.awakeBeforeReset += this.processor.awakeS;
    this.processor = processor;
    this.resetS = nowS;
    if (!supplyFailed) return;
    for (const chip of this.onTheBus) chip.powerUp();
  }
}
