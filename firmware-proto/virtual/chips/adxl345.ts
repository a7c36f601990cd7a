import type { RawCounts } from '../rawCounts.ts';
import { PlainChip, scaled } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers and scales: Analog Devices ADXL345 Rev. G, "Register definitions".
const [rate, power, format] = [0x2c, 0x2d, 0x31];
const selfTestCounts = 200;

export class Adxl345 extends PlainChip {
  constructor(around: ChipSurroundings) {
    super(around, {
      address: 0x53,
      defaults: { 0x00: 0xe5, [rate]: 0x0a },
      settings: [rate, power, 0x2e, 0x2f, format, 0x38],
      ready: { register: 0x30, bit: 0x80, clearedBy: 0x37 },
      output: 0x32,
    });
  }

  protected rateHz(): number {
    return this.registers[power] & 0x08 ? 3200 / 2 ** (15 - (this.registers[rate] & 0x0f)) : 0;
  }

  protected show({ accel }: RawCounts): void {
    const control = this.registers[format];
    const range = control & 3;
    const limit = 512 << (control & 0x08 ? range : 0);
    const push = control & 0x80 && !this.seized ? selfTestCounts : 0;
    const counts = scaled(accel, control & 0x08 ? 1 : 1 / (1 << range), push);
    this.littleEndian(0x32, ...counts.map((count) => Math.max(-limit, Math.min(limit - 1, Math.round(count)))));
  }
}
