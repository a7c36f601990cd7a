import type { RawCounts } from '../rawCounts.ts';
import { PlainChip, scaled } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers and scales: ST DocID026899 (LSM6DS3), DocID030071 (LSM6DS3TR-C), DS12814 (LSM6DSOX).
const [control1, control2, control3, control5] = [0x10, 0x11, 0x12, 0x14];
const ratesHz = [0, 12.5, 26, 52, 104, 208, 416, 833, 1660, 3330, 6660];
/** FS_XL: +-2, 16, 4, 8 g. */
const accelFactors = [1, 1 / 8, 1 / 2, 1 / 4];
const selfTestCounts = 8197; // 500 mg
const selfTestRate = 5714; // 50 degrees per second

const makes = {
  LSM6DS3: { identity: 0x69, countsPerC: 16 },
  'LSM6DS3TR-C': { identity: 0x6a, countsPerC: 256 },
  LSM6DSOX: { identity: 0x6c, countsPerC: 256 },
};

export class Lsm6ds extends PlainChip {
  private readonly countsPerC: number;

  constructor(around: ChipSurroundings, name: keyof typeof makes) {
    super(around, {
      address: 0x6a,
      defaults: { 0x0f: makes[name].identity, [control3]: 0x04 },
      settings: [control1, control2, control3, 0x13, control5, 0x15, 0x16, 0x17, 0x18, 0x19],
      ready: { register: 0x1e, bit: 0x07, clearedBy: 0x2d },
      output: 0x28,
    });
    this.countsPerC = makes[name].countsPerC;
  }

  protected rateHz(): number {
    return ratesHz[this.registers[control1] >> 4] ?? 0;
  }

  protected override incrementsAfter(): boolean {
    return (this.registers[control3] & 0x04) !== 0;
  }

  protected show({ accel, rate = [0, 0, 0], temperature }: RawCounts): void {
    const isPushed = (this.registers[control5] & 3) === 1 && !this.seized;
    const isGyroPushed = ((this.registers[control5] >> 2) & 3) === 1 && !this.seized;
    const factor = accelFactors[(this.registers[control1] >> 2) & 3];
    const gyroFactor = this.registers[control2] >> 4 === 0 ? 0 : 1 / (1 << ((this.registers[control2] >> 2) & 3));
    this.littleEndian(0x20, (temperature / 256) * this.countsPerC);
    this.littleEndian(0x22, ...scaled(rate, gyroFactor, isGyroPushed ? selfTestRate * gyroFactor : 0));
    this.littleEndian(0x28, ...scaled(accel, factor, isPushed ? selfTestCounts * factor : 0));
  }
}
