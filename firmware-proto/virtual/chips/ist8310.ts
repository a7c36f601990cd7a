import type { RawCounts } from '../rawCounts.ts';
import { PlainChip } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers: iSentek IST8310, "Register map". The time of a measurement by number of means is from memory.
const [control1, averages] = [0x0a, 0x41];
const measuringS = [0.002, 0.0025, 0.003, 0.004, 0.006];

/** One measurement at a time. It counts along left-handed axes: y is turned. */
export class Ist8310 extends PlainChip {
  constructor(around: ChipSurroundings) {
    super(around, {
      address: 0x0e,
      defaults: { 0x00: 0x10 },
      settings: [control1, 0x0b, 0x0c, 0x0d, averages, 0x42],
      ready: { register: 0x02, bit: 0x01, clearedBy: 0x08 },
      output: 0x03,
    });
  }

  protected rateHz(): number {
    return this.registers[control1] === 1 ? 1 / (measuringS[this.registers[averages] & 7] ?? 1) : 0;
  }

  protected show({ field: [x, y, z] }: RawCounts): void {
    this.registers[control1] = 0;
    this.runClock(0);
    this.littleEndian(0x03, x, -y, z);
  }
}
