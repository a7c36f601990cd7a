import type { RawCounts } from '../rawCounts.ts';
import { PlainChip, scaled } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers and scales: QST QMC5883L datasheet 1.0, section 9.
const control1 = 0x09;
const ratesHz = [10, 50, 100, 200];
const perGauss = [12000, 3000, 12000, 3000];

export class Qmc5883l extends PlainChip {
  constructor(around: ChipSurroundings) {
    super(around, {
      address: 0x0d,
      defaults: { 0x0d: 0xff },
      settings: [control1, 0x0a, 0x0b],
      ready: { register: 0x06, bit: 0x01, clearedBy: 0x05 },
      output: 0x00,
    });
  }

  protected rateHz(): number {
    const control = this.registers[control1];
    return (control & 3) === 1 ? ratesHz[(control >> 2) & 3] : 0;
  }

  protected show({ field }: RawCounts): void {
    this.littleEndian(0x00, ...scaled(field, perGauss[(this.registers[control1] >> 4) & 3] / 12000));
  }
}
