import type { RawCounts } from '../rawCounts.ts';
import { PlainChip, scaled } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers and scales: ST DocID025715 (LSM9DS1), section 7.
const [gyro1, control5, control6, control8, control10] = [0x10, 0x1f, 0x20, 0x22, 0x24];
const ratesHz = [0, 10, 50, 119, 238, 476, 952, 0];
/** FS_XL: +-2, 16, 4, 8 g, mg per count. */
const mgPerCount = [0.061, 0.732, 0.122, 0.244];
/** FS_G: +-245, 500, -, 2000 degrees per second, mdps per count. */
const mdpsPerCount = [8.75, 17.5, 8.75, 70];
const selfTestMg = 300;

/** Accelerometer and gyro. They count along left-handed axes: y runs against what the wire carries. */
export class Lsm9ds1Inertial extends PlainChip {
  constructor(around: ChipSurroundings) {
    super(around, {
      address: 0x6b,
      defaults: { 0x0f: 0x68, 0x1e: 0x38, [control5]: 0x38, [control8]: 0x04 },
      settings: [gyro1, 0x11, 0x12, 0x13, 0x1e, control5, control6, 0x21, control8, 0x23, control10],
      ready: { register: 0x27, bit: 0x07, clearedBy: 0x2d },
      output: 0x28,
    });
  }

  /** With the gyro on, both run at its rate. */
  protected rateHz(): number {
    return ratesHz[(this.registers[gyro1] || this.registers[control6]) >> 5];
  }

  protected override incrementsAfter(): boolean {
    return (this.registers[control8] & 0x04) !== 0;
  }

  protected show({ accel, rate = [0, 0, 0], temperature }: RawCounts): void {
    const scaleMg = mgPerCount[(this.registers[control6] >> 3) & 3];
    const push = this.registers[control10] & 1 && !this.seized ? selfTestMg / scaleMg : 0;
    const turned = ([x, y, z]: RawCounts['accel']): RawCounts['accel'] => [x, -y, z];
    this.littleEndian(0x15, temperature / 16);
    this.littleEndian(0x18, ...scaled(turned(rate), 8.75 / mdpsPerCount[(this.registers[gyro1] >> 3) & 3]));
    this.littleEndian(0x28, ...scaled(turned(accel), 0.061 / scaleMg, push));
  }
}
