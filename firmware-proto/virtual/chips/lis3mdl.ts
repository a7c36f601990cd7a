import type { RawCounts } from '../rawCounts.ts';
import { PlainChip, scaled } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers, rates and scales: ST DocID024204 (LIS3MDL), sections 2.1 and 7; DocID025715 (LSM9DS1), section 8.
const [control1, control2, control3] = [0x20, 0x21, 0x22];
const ratesHz = [0.625, 1.25, 2.5, 5, 10, 20, 40, 80];
/** With FAST_ODR, by operative mode. */
const fastHz = [1000, 560, 300, 155];
const fourGauss = 0;
/** What the self-test adds along x, y and z. */
const selfTestGauss = [1.7, 1.6, 0.4];

class Lis3mdlCore extends PlainChip {
  private readonly rangeFactors: readonly number[];

  /** @param rangeFactors counts a gauss at each range; its make is that at +-4 gauss */
  constructor(around: ChipSurroundings, address: number, rangeFactors: readonly number[]) {
    super(around, {
      address,
      defaults: { 0x0f: 0x3d, [control1]: 0x10, [control3]: 0x03 },
      settings: [control1, control2, control3, 0x23, 0x24],
      incrementsByBit7: true,
      ready: { register: 0x27, bit: 0x0f, clearedBy: 0x2d },
      output: 0x28,
    });
    this.rangeFactors = rangeFactors;
  }

  protected rateHz(): number {
    if ((this.registers[control3] & 3) !== 0) return 0;
    const control = this.registers[control1];
    return control & 0x02 ? fastHz[(control >> 5) & 3] : ratesHz[(control >> 2) & 7];
  }

  protected show(counts: RawCounts): void {
    const perGauss = this.rangeFactors[(this.registers[control2] >> 5) & 3];
    const isPushed = (this.registers[control1] & 1) !== 0 && !this.seized;
    const inChip = scaled(this.inChip(counts.field), perGauss / this.rangeFactors[fourGauss]);
    this.littleEndian(0x28, ...inChip.map((count, axis) => count + (isPushed ? selfTestGauss[axis] * perGauss : 0)));
    this.littleEndian(0x2e, counts.temperature / 32); // 8 counts a degree, 0 at 25 degrees
  }

  protected inChip(field: RawCounts['field']): RawCounts['field'] {
    return field;
  }
}

export class Lis3mdl extends Lis3mdlCore {
  constructor(around: ChipSurroundings) {
    super(around, 0x1c, [6842, 3421, 2281, 1711]);
  }
}

/** Its x runs against that of the accelerometer beside it, whose y is turned in what the wire carries. */
export class Lsm9ds1Magnetometer extends Lis3mdlCore {
  constructor(around: ChipSurroundings, address: number) {
    super(around, address, [1000 / 0.14, 1000 / 0.29, 1000 / 0.43, 1000 / 0.58]);
  }

  protected override inChip([x, y, z]: RawCounts['field']): RawCounts['field'] {
    return [-x, -y, z];
  }
}
