import type { RawCounts } from '../rawCounts.ts';
import { PlainChip } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers, times and scale: MEMSIC MMC5983MA Rev. A.
const [status, control0, control1] = [0x08, 0x09, 0x0a];
const [measure, set, reset] = [0x01, 0x08, 0x10];
const measuringS = [0.008, 0.004, 0.002, 0.0005];
/** What the bridge reads without a field, counts of 16 bits; far more than the Earth's field, and moved by heat. */
const bridgeOffset = [2300, -1700, 900];
const settledS = 0.001;

/** One measurement at a time, of the field as the bridge was set or reset last. It counts along left-handed axes: y is turned. */
export class Mmc5983ma extends PlainChip {
  private isReset = false;
  private isMeasuring = false;
  private turnedS = -Infinity;

  constructor(around: ChipSurroundings) {
    super(around, {
      address: 0x30,
      defaults: { 0x2f: 0x30 },
      settings: [control0, control1, 0x0b, 0x0c],
      ready: { register: status, bit: 0x01, clearedBy: -1 },
      output: 0x00,
    });
  }

  override powerUp(): void {
    this.isMeasuring = false;
    this.isReset = false;
    super.powerUp();
  }

  protected rateHz(): number {
    return this.isMeasuring ? 1 / measuringS[this.registers[control1] & 3] : 0;
  }

  protected override writeRegister(register: number, value: number): void {
    const nowS = this.around.nowS();
    if (register === control0 && value & (set | reset)) {
      this.isReset = (value & reset) !== 0 && !this.seized;
      this.turnedS = nowS;
    }
    if (register === control0 && value & measure) {
      if (nowS - this.turnedS < settledS) return; // the bridge has not settled: nothing is measured
      this.registers[status] &= ~1;
      this.isMeasuring = true;
    }
    super.writeRegister(register, value);
    this.registers[control0] = 0; // its bits clear themselves
  }

  /** Counts of its make are those of the difference of two measurements. */
  protected show({ field: [x, y, z] }: RawCounts): void {
    this.isMeasuring = false;
    this.runClock(0);
    const sign = this.isReset ? -0.5 : 0.5;
    const counts = ([x, -y, z] as const).map((count, axis) => sign * count + bridgeOffset[axis]);
    this.bigEndian(0x00, ...counts);
    for (const register of [0, 2, 4]) this.registers[register] ^= 0x80; // zero is 32768
  }
}
