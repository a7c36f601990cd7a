import type { RawCounts } from '../rawCounts.ts';
import { PlainChip, scaled } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers and scales: QST QMC5883P datasheet (13-52-19), section 9.
const [control1, control2] = [0x0a, 0x0b];
const ratesHz = [10, 50, 100, 200];
const perGauss = [1000, 2500, 3750, 15000];

export class Qmc5883p extends PlainChip {
  constructor(around: ChipSurroundings) {
    super(around, {
      address: 0x2c,
      defaults: { 0x00: 0x80 },
      settings: [control1, control2, 0x29],
      ready: { register: 0x09, bit: 0x01, clearedBy: 0x06 },
      output: 0x01,
    });
  }

  protected rateHz(): number {
    const control = this.registers[control1];
    return (control & 3) === 0 ? 0 : ratesHz[(control >> 2) & 3];
  }

  protected show({ field }: RawCounts): void {
    this.littleEndian(0x01, ...scaled(field, perGauss[(this.registers[control2] >> 2) & 3] / 3750));
  }
}
