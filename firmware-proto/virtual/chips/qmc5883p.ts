import type { RawCounts } from '../rawCounts.ts';
import { PlainChip, scaled } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers and scales: QST QMC5883P datasheet (13-52-19), section 9.
const [control1, control2] = [0x0a, 0x0b];
const ratesHz = [10, 50, 100, 200];
const perGauss = [1000, 2500, 3750, 15000];
/** In the continuous mode, where the rate is that of the measurement itself. */
const continuousHz = 200;
const [selfTest, selfTestGauss] = [0x40, 0.5];

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
    if ((control & 3) === 3) return continuousHz;
    return (control & 3) === 0 ? 0 : ratesHz[(control >> 2) & 3];
  }

  protected show({ field }: RawCounts): void {
    const range = perGauss[(this.registers[control2] >> 2) & 3];
    const isPushed = (this.registers[control2] & selfTest) !== 0 && !this.seized;
    this.registers[control2] &= ~selfTest;
    this.littleEndian(0x01, ...scaled(field, range / 3750, isPushed ? selfTestGauss * range : 0));
  }
}
