import type { RawCounts } from '../rawCounts.ts';
import { hFortyThree, honeywellOutput } from './honeywell.ts';
import { PlainChip, scaled } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers: ST DocID018771 (LSM303DLHC), sections 7.1 and 7.2.
const [control1, control4] = [0x20, 0x23];
const accelerometerHz = [0, 1, 10, 25, 50, 100, 200, 400, 1620, 1344];
const mgPerCount = [1, 2, 4, 12];

export class Lsm303dlhcAccelerometer extends PlainChip {
  constructor(around: ChipSurroundings) {
    super(around, {
      address: 0x19,
      defaults: { 0x0f: 0x33, [control1]: 0x07 },
      settings: [control1, 0x21, 0x22, control4, 0x24, 0x25, 0x26, 0x2e],
      incrementsByBit7: true,
      ready: { register: 0x27, bit: 0x0f, clearedBy: 0x2d },
      output: 0x28,
    });
  }

  protected rateHz(): number {
    return accelerometerHz[this.registers[control1] >> 4] ?? 0;
  }

  protected show({ accel }: RawCounts): void {
    const range = mgPerCount[(this.registers[control4] >> 4) & 3];
    const bits = this.registers[control4] & 0x08 ? 12 : 10;
    const counts = scaled(accel, 1 / range).map((count) => {
      const dropped = (1 << (12 - bits)) - 1;
      return (Math.max(-2048, Math.min(2047, Math.round(count))) & ~dropped) << 4;
    });
    this.littleEndian(0x28, ...counts);
  }
}

const magnetometerHz = [0.75, 1.5, 3, 7.5, 15, 30, 75, 220];
/** Counts per gauss in x and y, and in z. */
const gains = [
  [1100, 980],
  [1100, 980],
  [855, 760],
  [670, 600],
  [450, 400],
  [400, 355],
  [330, 295],
  [230, 205],
];

export class Lsm303dlhcMagnetometer extends PlainChip {
  constructor(around: ChipSurroundings) {
    super(around, {
      address: 0x1e,
      defaults: { 0x00: 0x10, 0x01: 0x20, 0x02: 0x03, ...hFortyThree },
      settings: [0x00, 0x01, 0x02],
      ready: { register: 0x09, bit: 0x01, clearedBy: 0x08 },
      output: 0x03,
    });
  }

  protected rateHz(): number {
    return this.registers[0x02] === 0 ? magnetometerHz[(this.registers[0x00] >> 2) & 7] : 0;
  }

  protected show({ field }: RawCounts): void {
    const [acrossPerGauss, alongPerGauss] = gains[this.registers[0x01] >> 5];
    const [x, y] = scaled(field, acrossPerGauss / 1100);
    this.bigEndian(0x03, ...honeywellOutput(x, y, field[2] * (alongPerGauss / 1100)));
  }
}
