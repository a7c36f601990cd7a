import type { RawCounts } from '../rawCounts.ts';
import { PlainChip, type RegisterMap } from './plainChip.ts';
import type { ChipSurroundings } from './sensorChip.ts';

/** A package that lets the bus through to the magnetometer within it, once it is told to. */
export interface Gate {
  readonly letsThrough: boolean;
}

// Registers and adjustment: Asahi Kasei MS1356 (AK8963), sections 6 and 8.
const [control, adjustmentAt] = [0x0a, 0x10];
const fuseAccess = 0x0f;
const ak8963Hz: Readonly<Record<number, number>> = { 0x12: 8, 0x16: 100 };
const [selfTestControl, selfTestMode] = [0x0c, 0x18];
/** One measurement of its own field takes so long. */
const selfTestHz = 138;
/** What that is in z, raw counts; x and y see next to nothing of it. */
const selfTestCounts = { ak8963: [12, -31, -1480], ak09916: [-9, 22, -540] };

/** A magnetometer at address 0C that may lie behind the gate of another chip. */
abstract class GatedChip extends PlainChip {
  private readonly gate: Gate | undefined;

  constructor(around: ChipSurroundings, registers: Omit<RegisterMap, 'address'>, gate?: Gate) {
    super(around, { address: 0x0c, ...registers });
    this.gate = gate;
  }

  override answersTo(address: number): boolean {
    return super.answersTo(address) && this.gate?.letsThrough !== false;
  }

  protected ownField(counts: readonly number[]): readonly number[] {
    return this.seized ? [0, 0, 0] : counts;
  }
}

/** Its x and y change places against those of the MPU-9250 around it, its z is turned. */
export class Ak8963 extends GatedChip {
  private readonly adjustment = [176, 171, 183];

  constructor(around: ChipSurroundings, gate?: Gate) {
    super(
      around,
      {
        defaults: { 0x00: 0x48, 0x01: 0x9a },
        settings: [control, 0x0b, selfTestControl],
        ready: { register: 0x02, bit: 0x01, clearedBy: 0x09 },
        output: 0x03,
      },
      gate,
    );
  }

  protected rateHz(): number {
    const mode = this.registers[control];
    return mode === selfTestMode ? selfTestHz : (ak8963Hz[mode] ?? 0);
  }

  protected override readRegister(register: number): number {
    const axis = register - adjustmentAt;
    if (axis >= 0 && axis < 3) return this.registers[control] === fuseAccess ? this.adjustment[axis] : 0;
    return super.readRegister(register);
  }

  private showsItself(): boolean {
    if (this.registers[control] !== selfTestMode || !(this.registers[selfTestControl] & 0x40)) return false;
    this.registers[control] = 0;
    this.runClock(0);
    return true;
  }

  protected show({ field: [x, y, z] }: RawCounts): void {
    const raw = ([y, x, -z] as const).map((count, axis) => count / ((this.adjustment[axis] - 128) / 256 + 1));
    this.littleEndian(0x03, ...(this.showsItself() ? this.ownField(selfTestCounts.ak8963) : raw));
  }
}

// Registers: InvenSense DS-000189 (ICM-20948), section 13.
const control2 = 0x31;
const ak09916Hz: Readonly<Record<number, number>> = { 2: 10, 4: 20, 6: 50, 8: 100, 0x10: selfTestHz };

/** Its y and z run against those of the ICM-20948 around it. */
export class Ak09916 extends GatedChip {
  constructor(around: ChipSurroundings, gate?: Gate) {
    super(
      around,
      {
        defaults: { 0x00: 0x48, 0x01: 0x09 },
        settings: [control2, 0x32],
        ready: { register: 0x10, bit: 0x01, clearedBy: 0x18 },
        output: 0x11,
      },
      gate,
    );
  }

  protected rateHz(): number {
    return ak09916Hz[this.registers[control2]] ?? 0;
  }

  protected show({ field: [x, y, z] }: RawCounts): void {
    const isPushed = this.registers[control2] === 0x10;
    this.littleEndian(0x11, ...(isPushed ? this.ownField(selfTestCounts.ak09916) : [x, -y, -z]));
    if (!isPushed) return;
    this.registers[control2] = 0;
    this.runClock(0);
  }
}
