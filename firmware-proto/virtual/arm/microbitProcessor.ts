import { Simulator, type RP2040 } from 'rp2040js';
import type { TwoWireDevice } from '../twoWire.ts';
import { CoreClock } from './coreClock.ts';
import { NrfFlash, NrfGpio, NrfPowerClock, NrfWatchdog } from './nrfSmallBlocks.ts';
import type { NrfBus, NrfPeripheral } from './nrfPeripheral.ts';
import { NrfTimer } from './nrfTimer.ts';
import { NrfTwim } from './nrfTwim.ts';
import { NrfUarte } from './nrfUarte.ts';
import { OpenDrain } from './openDrain.ts';

const clockHz = 64_000_000;
const memoryStart = 0x20000000;
const memoryBytes = 128 * 1024;
const ledRow = 15;
const ledColumn = 31;
const factory = 0x10000000;

export const microbitFlashBytes = 512 * 1024;

interface MicrobitParts {
  /** `microbitFlashBytes` of flash, shared: what the program writes stays. */
  flash: Uint8Array;
  byWatchdog: boolean;
  devices: readonly TwoWireDevice[];
  /** The chip's own number. */
  deviceId: readonly [number, number];
  onByte: (byte: number) => void;
}

/** A micro:bit V2 from one reset to the next: rp2040js's ARMv6-M core over an nRF52833's memory and the blocks that the program uses. */
export class MicrobitProcessor implements NrfBus {
  bitten = false;
  readonly clock = new Simulator().clock;
  readonly bus: OpenDrain;
  readonly flashBlock: NrfFlash;
  private readonly memory = new Uint8Array(memoryBytes);
  private readonly view = new DataView(this.memory.buffer);
  private readonly core: RP2040['core'];
  private readonly run: CoreClock;
  private readonly gpio: NrfGpio;
  private readonly uarte: NrfUarte;
  private readonly blocks: ReadonlyMap<number, NrfPeripheral>;
  private readonly parts: MicrobitParts;

  constructor(parts: MicrobitParts) {
    this.parts = parts;
    this.bus = new OpenDrain(() => undefined);
    this.flashBlock = new NrfFlash(parts.flash);
    this.gpio = new NrfGpio(this.bus);
    this.uarte = new NrfUarte(this, parts.onByte);
    this.blocks = new Map<number, NrfPeripheral>([
      [0x40000, new NrfPowerClock(parts.byWatchdog)],
      [0x40002, this.uarte],
      [0x40004, new NrfTwim(this, parts.devices, this.bus)],
      [0x40008, new NrfTimer(this)],
      [0x40010, new NrfWatchdog(this.clock, () => this.bite())],
      [0x4001e, this.flashBlock],
      [0x50000, this.gpio],
    ]);
    const { core } = new Simulator().rp2040;
    this.core = core;
    // The core reads and writes through this object alone.
    (core as unknown as { rp2040: unknown }).rp2040 = Object.assign(this.memoryOfCore(), { logger: core.logger });
    this.run = new CoreClock(core, this.clock, clockHz);
    core.reset();
  }

  get elapsedS(): number {
    return this.clock.nanos / 1e9;
  }
  get awakeS(): number {
    return this.run.busyNanos / 1e9;
  }
  get flash(): Uint8Array {
    return this.parts.flash;
  }
  get lightIsOn(): boolean {
    return this.gpio.drives(ledRow, true) && this.gpio.drives(ledColumn, false);
  }

  runTo(elapsedS: number): void {
    this.run.runTo(elapsedS * 1e9);
  }
  feed(bytes: Uint8Array): void {
    this.uarte.feed(bytes);
  }
  hang(): void {
    this.core.waiting = false;
    const jumpToItself = 0xe7fe;
    const at = this.core.PC & ~1;
    this.parts.flash[at] = jumpToItself & 0xff;
    this.parts.flash[at + 1] = jumpToItself >> 8;
  }

  readByte(address: number): number {
    return this.readUint8(address);
  }
  writeByte(address: number, value: number): void {
    this.memory[address - memoryStart] = value;
  }
  interrupt(number: number, isHigh: boolean): void {
    this.core.setInterrupt(number, isHigh);
  }

  private bite(): void {
    this.bitten = true;
    this.run.isStopped = true;
  }

  private memoryOfCore() {
    return {
      readUint32: (address: number) => this.readUint32(address >>> 0),
      readUint16: (address: number) => this.readUint8(address >>> 0) | (this.readUint8((address >>> 0) + 1) << 8),
      readUint8: (address: number) => this.readUint8(address >>> 0),
      writeUint32: (address: number, value: number) => this.writeUint32(address >>> 0, value >>> 0),
      writeUint16: (address: number, value: number) => this.view.setUint16((address >>> 0) - memoryStart, value, true),
      writeUint8: (address: number, value: number) => this.view.setUint8((address >>> 0) - memoryStart, value),
    };
  }

  private readUint8(address: number): number {
    if (address < microbitFlashBytes) return this.parts.flash[address];
    return this.memory[address - memoryStart];
  }

  private readUint32(address: number): number {
    if (address < microbitFlashBytes) {
      const { flash } = this.parts;
      return (
        (flash[address] | (flash[address + 1] << 8) | (flash[address + 2] << 16) | (flash[address + 3] << 24)) >>> 0
      );
    }
    if (address >= memoryStart && address < memoryStart + memoryBytes)
      return this.view.getUint32(address - memoryStart, true);
    if (address === factory + 0x60) return this.parts.deviceId[0];
    if (address === factory + 0x64) return this.parts.deviceId[1];
    return this.blockAt(address).read(address & 0xfff) >>> 0;
  }

  private writeUint32(address: number, value: number): void {
    if (address >= memoryStart && address < memoryStart + memoryBytes) {
      this.view.setUint32(address - memoryStart, value, true);
    } else if (address < microbitFlashBytes) {
      this.flashBlock.writeWord(address, value);
    } else if (address === 0xe000e100) {
      this.core.enabledInterrupts |= value;
      this.core.interruptsUpdated = true;
    } else if (address !== 0x50000300 + 0x700 + 4 * 8) {
      // port 1 has the serial input only
      this.blockAt(address).write(address & 0xfff, value);
    }
  }

  private blockAt(address: number): NrfPeripheral {
    const block = this.blocks.get(address >>> 12);
    if (block === undefined) throw new Error(`nothing is at ${address.toString(16)}`);
    return block;
  }
}
