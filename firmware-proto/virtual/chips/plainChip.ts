import type { RawCounts } from '../rawCounts.ts';
import { SensorChip, type ChipSurroundings } from './sensorChip.ts';

/** The registers of a chip that shows one measurement whole: its output does not change within a transfer. */
export interface RegisterMap {
  address: number;
  /** What registers hold after power-up; the others hold 0. */
  defaults: Readonly<Record<number, number>>;
  /** Registers that take what is written; the others are read-only. */
  settings: readonly number[];
  /** The register address moves on only where its bit 7 is set. */
  incrementsByBit7?: boolean;
  /** Where and as which bit new data is told, and the register whose reading takes it back. */
  ready: { register: number; bit: number; clearedBy: number };
  /** The first register of the newest measurement. */
  output: number;
}

type Three = readonly [number, number, number];

/** Powered up by whoever makes it. */
export abstract class PlainChip extends SensorChip {
  protected readonly map: RegisterMap;

  constructor(around: ChipSurroundings, map: RegisterMap) {
    super(around);
    this.map = map;
  }

  get address(): number {
    return this.map.address;
  }

  powerUp(): void {
    this.registers.fill(0);
    for (const [register, value] of Object.entries(this.map.defaults)) this.registers[Number(register)] = value;
    this.runClock(this.rateHz());
  }

  override start(write: boolean): void {
    if (!write) this.refresh();
    super.start(write);
  }

  /** Measurements a second, as the registers say. */
  protected abstract rateHz(): number;
  /** Puts a measurement into the output registers. */
  protected abstract show(counts: RawCounts): void;

  protected incrementsAfter(addressByte: number): boolean {
    return !this.map.incrementsByBit7 || (addressByte & 0x80) !== 0;
  }

  protected writeRegister(register: number, value: number): void {
    if (!this.map.settings.includes(register)) return;
    this.refresh();
    this.registers[register] = value;
    this.runClock(this.rateHz());
  }

  protected readRegister(register: number): number {
    const { ready, output } = this.map;
    if (register === output) this.onOutputRead();
    const value = this.registers[register];
    if (register === ready.clearedBy) this.registers[ready.register] &= ~ready.bit;
    return value;
  }

  protected littleEndian(register: number, ...values: readonly number[]): void {
    this.put(register, values, 0, 8);
  }

  protected bigEndian(register: number, ...values: readonly number[]): void {
    this.put(register, values, 8, 0);
  }

  private refresh(): void {
    const counts = this.newest();
    if (counts === undefined) return;
    this.show(counts);
    this.registers[this.map.ready.register] |= this.map.ready.bit;
  }

  private put(register: number, values: readonly number[], firstShift: number, secondShift: number): void {
    for (const [index, value] of values.entries()) {
      const held = Math.max(-32768, Math.min(32767, Math.round(value)));
      this.registers[register + 2 * index] = held >> firstShift;
      this.registers[register + 2 * index + 1] = held >> secondShift;
    }
  }
}

/** Three counts times a factor, each with a push added. */
export const scaled = ([x, y, z]: Three, factor: number, push = 0): [number, number, number] => [
  x * factor + push,
  y * factor + push,
  z * factor + push,
];
