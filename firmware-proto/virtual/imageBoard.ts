import { readFileSync } from 'node:fs';
import { EEPROMMemoryBackend } from 'avr8js';
import type { BoardChipNames } from './chips/models.ts';
import { EmulatedBoard } from './emulatedBoard.ts';
import { parseIntelHex } from './intelHex.ts';
import { eepromBytes, memoryBytes, Processor, programBytes, type ResetCause } from './processor.ts';
import { Random } from './random.ts';
import type { World } from './world.ts';

const committedImage = new URL('../image/lodepole-nano.hex', import.meta.url);

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
  /** An LSM303AGR by default. */
  chips?: BoardChipNames;
}

/** The board's own image on an emulated ATmega328P. */
export class ImageBoard<SomeWorld extends World = World> extends EmulatedBoard<Processor, SomeWorld> {
  processor: Processor;
  private readonly program: Uint8Array;
  private readonly eepromBackend = new EEPROMMemoryBackend(eepromBytes);
  private readonly hasBootLoader: boolean;
  private readonly random: Random;

  /** Throws when the image or the EEPROM's contents do not fit. */
  constructor(world: SomeWorld, options: ImageBoardOptions = {}) {
    super(world, options.startS ?? 0, options.chips);
    this.program = parseIntelHex(options.image ?? readFileSync(committedImage, 'latin1'), programBytes);
    if (options.eeprom) this.eepromBackend.memory.set(options.eeprom);
    this.hasBootLoader = options.hasBootLoader ?? false;
    this.random = new Random(options.seed ?? 1);
    this.processor = this.newProcessor('power', this.randomMemory());
  }

  get eeprom(): Uint8Array {
    return this.eepromBackend.memory;
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

  restart(cause: ResetCause): void {
    const supplyFailed = cause === 'power' || cause === 'brownout';
    const memory = supplyFailed ? this.randomMemory() : this.processor.memory;
    this.replaceProcessor(this.newProcessor(cause, memory), supplyFailed);
  }

  /** Faults: see TwoWire. */
  holdSda(clocks?: number): void {
    this.processor.twoWire.holdSda(clocks);
  }

  releaseSda(): void {
    this.processor.twoWire.releaseSda();
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
      devices: this.onTheBus,
      analogNoise: () => Math.floor(this.random.uniform() * 1024),
      onByte: this.onByte,
    });
  }
}
