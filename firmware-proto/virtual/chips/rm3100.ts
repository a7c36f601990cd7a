import type { RawCounts } from '../rawCounts.ts';
import { PlainChip } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

// Registers, rates and gain: PNI RM3100 user manual, sections 4 and 5.
const [poll, continuous, cycles, rate, output, selfTest] = [0x00, 0x01, 0x04, 0x0b, 0x24, 0x33];
const threeAxes = 0x70;
/** STE asks for a self-test with the next polled measurement; XOK, YOK, ZOK tell. */
const [asked, allSound] = [0x80, 0x70];
/** The fastest for three axes at 200 cycles, and TMRC's rate at 92h, which halves with each step. */
const fastestHz = 147;
const firstRate = { code: 0x92, hz: 600 };

export class Rm3100 extends PlainChip {
  constructor(around: ChipSurroundings) {
    super(around, {
      address: 0x20,
      defaults: { 0x36: 0x22, [rate]: 0x96, 0x05: 200, 0x07: 200, 0x09: 200 },
      settings: [poll, continuous, 0x04, 0x05, 0x06, 0x07, 0x08, 0x09, rate, selfTest],
      ready: { register: 0x34, bit: 0x80, clearedBy: 0x2c },
      output,
    });
  }

  protected rateHz(): number {
    if (this.registers[poll] === threeAxes) return fastestHz;
    const askedHz = firstRate.hz / 2 ** (this.registers[rate] - firstRate.code);
    return (this.registers[continuous] & 0x71) === 0x71 ? Math.min(askedHz, (fastestHz * 200) / this.cyclesOf(0)) : 0;
  }

  protected show({ field }: RawCounts): void {
    if (this.registers[poll] === threeAxes) {
      this.registers[poll] = 0;
      this.runClock(0);
      if (this.registers[selfTest] & asked) this.registers[selfTest] = asked | 0x0f | (this.seized ? 0 : allSound);
    }
    for (const [axis, counts] of field.entries()) {
      const value = Math.round((counts * this.cyclesOf(axis)) / 200);
      for (const [byte, shift] of [16, 8, 0].entries()) this.registers[output + 3 * axis + byte] = value >> shift;
    }
  }

  private cyclesOf(axis: number): number {
    return (this.registers[cycles + 2 * axis] << 8) | this.registers[cycles + 2 * axis + 1];
  }
}
