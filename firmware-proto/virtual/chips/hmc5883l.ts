import type { RawCounts } from '../rawCounts.ts';
import { hFortyThree, honeywellOutput } from './honeywell.ts';
import { PlainChip, scaled } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers, rates and gains: Honeywell 900405 (HMC5883L), tables 2 to 20.
const ratesHz = [0.75, 1.5, 3, 7.5, 15, 30, 75, 0];
const perGauss = [1370, 1090, 820, 660, 440, 390, 330, 230];
/** What it measures of its own field alone with the positive bias on ("Self test operation"). */
const biasGauss = [1.16, 1.16, 1.08] as const;

export class Hmc5883l extends PlainChip {
  constructor(around: ChipSurroundings) {
    super(around, {
      address: 0x1e,
      defaults: { 0x00: 0x10, 0x01: 0x20, 0x02: 0x01, ...hFortyThree },
      settings: [0x00, 0x01, 0x02],
      ready: { register: 0x09, bit: 0x01, clearedBy: 0x08 },
      output: 0x03,
    });
  }

  protected rateHz(): number {
    return (this.registers[0x02] & 3) === 0 ? ratesHz[(this.registers[0x00] >> 2) & 7] : 0;
  }

  protected show({ field }: RawCounts): void {
    const gain = perGauss[this.registers[0x01] >> 5];
    const isPushed = (this.registers[0x00] & 3) === 1;
    const shown = isPushed ? scaled(biasGauss, this.seized ? 0 : gain) : scaled(field, gain / 1090);
    this.bigEndian(0x03, ...honeywellOutput(...shown));
  }
}
