import type { RawCounts } from '../rawCounts.ts';
import { PlainChip, scaled } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers and scales: InvenSense RM-MPU-6000A 4.2, RM-MPU-6500A, RM-MPU-9250A.
const [divider, config, gyroRange, accelRange, bypass, interrupts, status] = [0x19, 0x1a, 0x1b, 0x1c, 0x37, 0x38, 0x3a];
const [output, master, power] = [0x3b, 0x6a, 0x6b];

const selfTestCounts = 7373; // 450 mg
/** 50 and 100 degrees per second. */
const selfTestRate = { first: 6550, later: 13100 };

const identities = { 'MPU-6050': 0x68, 'MPU-6500': 0x70, 'MPU-9250': 0x71 };

export class Mpu extends PlainChip {
  private readonly temperature: { perC: number; zeroC: number };
  private readonly ratePush: number;

  constructor(around: ChipSurroundings, name: keyof typeof identities) {
    const isFirst = name === 'MPU-6050';
    super(around, {
      address: 0x68,
      defaults: { 0x75: identities[name], [power]: isFirst ? 0x40 : 0x01 },
      settings: [divider, config, gyroRange, accelRange, 0x1d, 0x23, bypass, interrupts, master, power],
      ready: { register: status, bit: 0x01, clearedBy: status },
      output,
    });
    this.ratePush = isFirst ? selfTestRate.first : selfTestRate.later;
    this.temperature = isFirst ? { perC: 340, zeroC: 36.53 } : { perC: 333.87, zeroC: 21 };
  }

  /** What hangs on its second bus is on the first one. */
  get letsThrough(): boolean {
    return (this.registers[bypass] & 0x02) !== 0 && (this.registers[master] & 0x20) === 0;
  }

  protected rateHz(): number {
    const isFiltered = (this.registers[config] & 7) % 7 !== 0;
    return this.registers[power] & 0x40 ? 0 : (isFiltered ? 1000 : 8000) / (1 + this.registers[divider]);
  }

  protected show({ accel, rate = [0, 0, 0], temperature }: RawCounts): void {
    const { perC, zeroC } = this.temperature;
    const degreesC = temperature / 256 + 25;
    const factor = 1 / (1 << ((this.registers[accelRange] >> 3) & 3));
    const isPushed = this.registers[accelRange] >> 5 === 7 && !this.seized;
    this.bigEndian(output, ...scaled(accel, factor, isPushed ? selfTestCounts * factor : 0));
    this.bigEndian(output + 6, (degreesC - zeroC) * perC);
    const gyroFactor = 1 / (1 << ((this.registers[gyroRange] >> 3) & 3));
    const isGyroPushed = this.registers[gyroRange] >> 5 === 7 && !this.seized;
    this.bigEndian(output + 8, ...scaled(rate, gyroFactor, isGyroPushed ? this.ratePush * gyroFactor : 0));
  }
}
