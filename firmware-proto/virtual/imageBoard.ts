import { readFileSync } from 'node:fs';
import { EEPROMMemoryBackend } from 'avr8js';
import type { RawCounts } from './rawCounts.ts';
import type { VirtualBoard } from './board.ts';
import { parseIntelHex } from './intelHex.ts';
import { Lsm303agrAccelerometer } from './lsm303agrAccelerometer.ts';
import { Lsm303agrMagnetometer } from './lsm303agrMagnetometer.ts';
import { clockHz, eepromBytes, memoryBytes, Processor, programBytes, type ResetCause } from './processor.ts';
import { Random } from './random.ts';
import type { World } from './world.ts';

const committedImage = new URL('../image/lodepole-nano.hex', import.meta.url);
const tickMs = 4;
/** A stalled process lets the board's time slip, instead of catching up for ever. */
const longestCatchUpS = 0.1;
/** The chips' clocks against the true one: some percent off in the datasheet, so that samples repeat or drop out at times. */
const accelerometerClock = 1.013;
const magnetometerClock = 0.994;

export interface ImageBoardOptions {
  /** Intel HEX text; the committed image by default. */
  image?: string;
  /** What the EEPROM holds; blank by default, so that the board makes its number. */
  eeprom?: Uint8Array;
  /** Of the noise on the open analog inputs, from which a new board makes its number. */
  seed?: number;
  /** A boot loader runs first and clears the register that tells why the board restarted. */
  hasBootLoader?: boolean;
  /** World time at power-up, seconds. */
  startS?: number;
}

/** The board's own image on an emulated processor, with the chips at register level, in a world around them. */
export class ImageBoard<SomeWorld extends World = World> implements VirtualBoard {
  readonly world: SomeWorld;
  readonly accelerometer: Lsm303agrAccelerometer;
  readonly magnetometer: Lsm303agrMagnetometer;
  private readonly program: Uint8Array;
  private readonly eepromBackend = new EEPROMMemoryBackend(eepromBytes);
  private readonly hasBootLoader: boolean;
  private readonly random: Random;
  private readonly listeners = new Set<(bytes: Uint8Array) => void>();
  private processor: Processor;
  /** World time at which the processor's cycle 0 was. */
  private startS: number;
  private busyBeforeReset = 0;
  private latestSampleS: number;
  private sent: number[] = [];
  private timer: NodeJS.Timeout | undefined;

  /** Throws when the image or the EEPROM's contents do not fit. */
  constructor(world: SomeWorld, options: ImageBoardOptions = {}) {
    this.world = world;
    this.program = parseIntelHex(options.image ?? readFileSync(committedImage, 'latin1'), programBytes);
    if (options.eeprom) this.eepromBackend.memory.set(options.eeprom);
    this.hasBootLoader = options.hasBootLoader ?? false;
    this.random = new Random(options.seed ?? 1);
    this.startS = options.startS ?? 0;
    this.latestSampleS = this.startS;
    const countsAt = (worldS: number): RawCounts => this.countsAt(worldS);
    const nowS = (): number => this.nowS;
    this.accelerometer = new Lsm303agrAccelerometer(countsAt, nowS, accelerometerClock);
    this.magnetometer = new Lsm303agrMagnetometer(countsAt, nowS, magnetometerClock);
    this.processor = this.newProcessor('power', this.randomMemory());
  }

  /** World time that the board has reached, seconds. */
  get nowS(): number {
    return this.startS + (this.processor?.cycles ?? 0) / clockHz;
  }

  /** Time in which the processor did not sleep, seconds. */
  get busyS(): number {
    return (this.busyBeforeReset + this.processor.busyCycles) / clockHz;
  }

  get eeprom(): Uint8Array {
    return this.eepromBackend.memory;
  }

  get lightIsOn(): boolean {
    return this.processor.lightIsOn;
  }

  /** Called before every change of a byte of the EEPROM. */
  onEepromWrite(listener: () => void): void {
    const backend = this.eepromBackend;
    const write = backend.writeMemory.bind(backend);
    const erase = backend.eraseMemory.bind(backend);
    backend.writeMemory = (address, value) => {
      listener();
      write(address, value);
    };
    backend.eraseMemory = (address) => {
      listener();
      erase(address);
    };
  }

  onBytes(listener: (bytes: Uint8Array) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  write(bytes: Uint8Array): void {
    this.processor.serial.feed(bytes);
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
      this.processor.runTo((worldS - this.startS) * clockHz);
      if (!this.processor.bitten) break;
      this.restart('watchdog');
    }
    this.flush();
  }

  /** A reset; after one by the supply the chips, too, have forgotten their settings. */
  restart(cause: ResetCause): void {
    const nowS = this.nowS;
    this.busyBeforeReset += this.processor.busyCycles;
    const supplyFailed = cause === 'power' || cause === 'brownout';
    this.processor = this.newProcessor(cause, supplyFailed ? this.randomMemory() : this.processor.memory);
    this.startS = nowS;
    if (supplyFailed) {
      this.accelerometer.powerUp();
      this.magnetometer.powerUp();
    }
  }

  /** Faults: see TwoWire and Processor. */
  holdSda(clocks?: number): void {
    this.processor.twoWire.holdSda(clocks);
  }

  releaseSda(): void {
    this.processor.twoWire.releaseSda();
  }

  hang(): void {
    this.processor.hang();
  }

  private randomMemory(): Uint8Array {
    return Uint8Array.from({ length: memoryBytes }, () => this.random.uniform() * 256);
  }

  private newProcessor(cause: ResetCause, memory: Uint8Array): Processor {
    return new Processor({
      program: this.program,
      cause,
      memory,
      hasBootLoader: this.hasBootLoader,
      eeprom: this.eepromBackend,
      devices: [this.accelerometer, this.magnetometer],
      analogNoise: () => Math.floor(this.random.uniform() * 1024),
      onByte: (byte) => this.sent.push(byte),
    });
  }

  /** The two chips ask in turn, each for the instants of its own clock; the world goes forward only. */
  private countsAt(worldS: number): RawCounts {
    this.latestSampleS = Math.max(this.latestSampleS, worldS);
    return this.world.countsAt(this.latestSampleS);
  }

  private flush(): void {
    if (this.sent.length === 0) return;
    const bytes = Uint8Array.from(this.sent);
    this.sent = [];
    for (const listener of this.listeners) listener(bytes);
  }
}
