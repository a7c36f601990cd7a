import type { RawCounts } from '../rawCounts.ts';
import { PlainChip, scaled } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers and scales: InvenSense DS-000189 (ICM-20948), sections 7 to 10.
const [userControl, power, bypass, interrupts, status, output, bankSelect] = [0x03, 0x06, 0x0f, 0x11, 0x1a, 0x2d, 0x7f];
const [gyroConfig, gyroConfig2, accelDivider, accelConfig, accelConfig2] = [0x01, 0x02, 0x11, 0x14, 0x15];
const selfTestCounts = 7373; // 450 mg
const selfTestRate = 13100; // 100 degrees per second

export class Icm20948 extends PlainChip {
  /** Registers of the banks beyond the first. */
  private readonly banks = [1, 2, 3].map(() => new Uint8Array(128));

  constructor(around: ChipSurroundings) {
    super(around, {
      address: 0x69,
      defaults: { 0x00: 0xea, [power]: 0x41 },
      settings: [userControl, 0x05, power, 0x07, bypass, 0x10, interrupts, bankSelect],
      ready: { register: status, bit: 0x01, clearedBy: status },
      output,
    });
  }

  get letsThrough(): boolean {
    return (this.registers[bypass] & 0x02) !== 0 && (this.registers[userControl] & 0x20) === 0;
  }

  override powerUp(): void {
    for (const bank of this.banks) bank.fill(0);
    super.powerUp();
  }

  protected rateHz(): number {
    return this.registers[power] & 0x40 ? 0 : 1125 / (1 + this.banks[1][accelDivider]);
  }

  protected override writeRegister(register: number, value: number): void {
    const bank = this.bank();
    if (bank === undefined || register === bankSelect) super.writeRegister(register, value);
    else {
      bank[register] = value;
      this.runClock(this.rateHz());
    }
  }

  protected override readRegister(register: number): number {
    const bank = this.bank();
    return bank === undefined || register === bankSelect ? super.readRegister(register) : bank[register];
  }

  protected show({ accel, rate = [0, 0, 0], temperature }: RawCounts): void {
    const range = (register: number): number => 1 / (1 << ((this.banks[1][register] >> 1) & 3));
    const isPushed = (this.banks[1][accelConfig2] & 0x1c) === 0x1c && !this.seized;
    this.bigEndian(output, ...scaled(accel, range(accelConfig), isPushed ? selfTestCounts * range(accelConfig) : 0));
    const isGyroPushed = (this.banks[1][gyroConfig2] & 0x38) === 0x38 && !this.seized;
    this.bigEndian(output + 6, ...scaled(rate, range(gyroConfig), isGyroPushed ? selfTestRate * range(gyroConfig) : 0));
    this.bigEndian(output + 12, (temperature / 256 + 25 - 21) * 333.87);
  }

  private bank(): Uint8Array | undefined {
    const selected = (this.registers[bankSelect] >> 4) & 3;
    return selected === 0 ? undefined : this.banks[selected - 1];
  }
}
