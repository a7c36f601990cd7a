import {
  ADCMuxInputType,
  adcConfig,
  AVRADC,
  AVRClock,
  AVREEPROM,
  avrInstruction,
  AVRWatchdog,
  CPU,
  portBConfig as portB,
  timer0Config,
  timer1Config,
  watchdogConfig,
} from 'avr8js';
import type { EEPROMBackend } from 'avr8js';
import { leapingTimer } from './leapingTimer.ts';
import { SerialLine } from './serialLine.ts';
import { TwoWire } from './twoWire.ts';
import type { TwoWireDevice } from './twoWire.ts';

export const clockHz = 16_000_000;
export const programBytes = 32 * 1024;
export const eepromBytes = 1024;
export const memoryBytes = 2048;
const memoryStart = 0x100;

/** MCUSR after a reset (ATmega328P datasheet, MCU Status Register). avr8js leaves it at zero. */
const statusAfter = { power: 0x01, external: 0x02, brownout: 0x04, watchdog: 0x08 } as const;
export type ResetCause = keyof typeof statusAfter;
/** A boot loader ran first and cleared MCUSR, as many do. */
const statusAfterBootLoader = 0;

interface ProcessorParts {
  program: Uint8Array;
  cause: ResetCause;
  hasBootLoader?: boolean;
  /** What the memory holds: it outlives a reset, unless the supply failed. */
  memory: Uint8Array;
  /** Outlives everything. */
  eeprom: EEPROMBackend;
  devices: readonly TwoWireDevice[];
  /** What an open analog input reads, 0 to 1023. */
  analogNoise: () => number;
  onByte: (byte: number) => void;
}

const sleepOpcode = 0x9588;
const enableInterrupts = 0x9478; // SEI
const returnFromInterrupt = 0x9518; // RETI
const jumpToItself = 0xcfff; // rjmp .-2
const sleepControl = 0x53; // SMCR
const lightPin = 1 << 5;
const sleepEnable = 0x01; // SE

/** The part of avr8js's CPU that its types hide. */
interface CpuInside {
  readonly nextClockEvent: { readonly cycles: number } | null;
}

/**
 * An ATmega328P from one reset to the next, on avr8js. A reset takes a new one: avr8js's own reset leaves peripherals and
 * events behind. Its clock starts at cycle 0.
 */
export class Processor {
  readonly serial: SerialLine;
  readonly twoWire: TwoWire;
  /** Set when the watchdog has bitten; nothing runs any more then. */
  bitten = false;
  private readonly cpu: CPU;
  private asleep = false;
  private sleptCycles = 0;

  constructor(parts: ProcessorParts) {
    const program = new Uint8Array(programBytes).fill(0xff);
    program.set(parts.program);
    this.cpu = new CPU(new Uint16Array(program.buffer), memoryBytes);
    this.cpu.data.set(parts.memory, memoryStart);
    this.cpu.data[watchdogConfig.MCUSR] = parts.hasBootLoader ? statusAfterBootLoader : statusAfter[parts.cause];
    this.cpu.reset = () => {
      this.bitten = true;
    };
    leapingTimer(this.cpu, timer0Config);
    leapingTimer(this.cpu, timer1Config);
    new AVRWatchdog(this.cpu, watchdogConfig, new AVRClock(this.cpu, clockHz));
    new AVREEPROM(this.cpu, parts.eeprom);
    const adc = new AVRADC(this.cpu, adcConfig);
    adc.onADCRead = ({ type }) => {
      const value = type === ADCMuxInputType.SingleEnded ? parts.analogNoise() : 0;
      this.cpu.addClockEvent(() => adc.completeADCRead(value), adc.sampleCycles);
    };
    this.serial = new SerialLine(this.cpu, clockHz, parts.onByte);
    this.twoWire = new TwoWire(this.cpu, clockHz, parts.devices);
  }

  get memory(): Uint8Array {
    return this.cpu.data.subarray(memoryStart);
  }

  get elapsedS(): number {
    return this.cpu.cycles / clockHz;
  }

  /** Time in which instructions ran, that is without sleep. */
  get awakeS(): number {
    return (this.cpu.cycles - this.sleptCycles) / clockHz;
  }

  feed(bytes: Uint8Array): void {
    this.serial.feed(bytes);
  }

  /** The LED of Nano and Uno, on PB5. */
  get lightIsOn(): boolean {
    return (this.cpu.data[portB.DDR] & this.cpu.data[portB.PORT] & lightPin) !== 0;
  }

  /** A fault: the program hangs where it is, until the watchdog bites. */
  hang(): void {
    this.cpu.progMem[this.cpu.pc] = jumpToItself;
    this.asleep = false;
  }

  /** Runs up to this time, give or take an instruction; stops short when the watchdog bites. */
  runTo(elapsedS: number): void {
    const { cpu } = this;
    const cycle = elapsedS * clockHz;
    while (cpu.cycles < cycle && !this.bitten) {
      if (this.asleep) {
        this.sleepTo(cycle);
        continue;
      }
      const opcode = cpu.progMem[cpu.pc];
      if (opcode === sleepOpcode && cpu.data[sleepControl] & sleepEnable) this.asleep = true;
      avrInstruction(cpu);
      // The instruction after SEI or RETI runs before any interrupt; avr8js would let one slip in between SEI and SLEEP.
      if (!this.asleep && opcode !== enableInterrupts && opcode !== returnFromInterrupt) cpu.tick();
    }
  }

  /** Skips to the next event of a peripheral and on, until one raises an interrupt. */
  private sleepTo(cycle: number): void {
    const { cpu } = this;
    const inside = cpu as unknown as CpuInside;
    while (cpu.cycles < cycle && !this.bitten) {
      const { pc } = cpu;
      cpu.tick();
      if (cpu.pc !== pc) {
        this.asleep = false;
        return;
      }
      const next = Math.min(inside.nextClockEvent?.cycles ?? cycle, cycle);
      if (next > cpu.cycles) {
        this.sleptCycles += next - cpu.cycles;
        cpu.cycles = next;
      }
    }
  }
}
