import type { RP2040 } from 'rp2040js';

const tableAt = 0x14;
const lookUpAt = 0x18;
const table = 0x80;
const code = 0x100;
const breakpoint = 0xbe00;
const returnToCaller = 0x4770; // bx lr
const bootStage2 = { from: 0, bytes: 256, to: 0x20041f00 } as const;

/** CRC-32 of the boot ROM: polynomial 04C11DB7, start FFFFFFFF, not reflected (RP2040 datasheet 2.8.1.3.1). */
export function bootCrc(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte << 24;
    for (let bit = 0; bit < 8; bit += 1) crc = crc & 0x80000000 ? (crc << 1) ^ 0x04c11db7 : crc << 1;
  }
  return crc >>> 0;
}

/**
 * What a program sees of the boot ROM (RP2040 datasheet 2.8): boot stage 2 checked and started from memory, and the routines that write
 * the flash. The routines are breakpoints here. Throws an Error when the ROM would not start this flash.
 */
export class PicoRom {
  /** Called before each change of the flash: an erased sector, a programmed page. */
  onFlashWrite: () => void = () => undefined;
  private readonly chip: RP2040;
  /** The flash can be read in place. */
  private isInPlace = true;

  constructor(chip: RP2040) {
    this.chip = chip;
    const routines = ['lookUp', 'IF', 'EX', 'RE', 'RP', 'FC'];
    const memory = new Uint16Array(chip.bootrom.buffer, chip.bootrom.byteOffset, chip.bootrom.length * 2);
    memory[tableAt / 2] = table;
    memory[lookUpAt / 2] = code | 1;
    for (const [index] of routines.entries()) {
      memory[code / 2 + 2 * index] = breakpoint | index;
      memory[code / 2 + 2 * index + 1] = returnToCaller;
    }
    chip.onBreak = (index) => this.call(routines[index], routines);
  }

  boot(): void {
    const { flash, core, sram } = this.chip;
    const stage = flash.slice(bootStage2.from, bootStage2.bytes);
    const stated = new DataView(stage.buffer).getUint32(252, true);
    if (bootCrc(stage.subarray(0, 252)) !== stated) throw new Error('boot stage 2 has a wrong CRC');
    sram.set(stage, bootStage2.to - 0x20000000);
    core.SP = 0x20042000;
    core.LR = 0;
    core.PC = bootStage2.to;
  }

  private call(name: string | undefined, routines: readonly string[]): void {
    const { registers } = this.chip.core;
    const [first, second, third] = registers;
    const { flash } = this.chip;
    switch (name) {
      case 'lookUp': {
        const index = routines.indexOf(String.fromCharCode(second & 0xff, second >> 8));
        registers[0] = first === table && index > 0 ? (code + 4 * index) | 1 : 0;
        return;
      }
      case 'EX':
        this.isInPlace = false;
        return;
      case 'RE':
        this.check(first % 4096 === 0 && second % 4096 === 0);
        for (let at = first; at < first + second; at += 4096) {
          this.onFlashWrite();
          flash.fill(0xff, at, at + 4096);
        }
        return;
      case 'RP':
        this.check(first % 256 === 0 && third % 256 === 0);
        this.onFlashWrite();
        for (let at = 0; at < third; at += 1) flash[first + at] &= this.chip.readUint8(second + at);
        this.isInPlace = true; // by boot stage 2, which the program runs next
        return;
      case undefined:
        throw new Error(`breakpoint at ${this.chip.core.PC.toString(16)}`);
      default:
    }
  }

  private check(isAligned: boolean): void {
    const { LR } = this.chip.core;
    if (this.isInPlace) throw new Error('the flash is written while it is read in place');
    if (!isAligned) throw new Error('the flash is written across its sectors');
    if (LR >>> 28 !== 2) throw new Error('the flash is written by a routine that lies in it');
  }
}
