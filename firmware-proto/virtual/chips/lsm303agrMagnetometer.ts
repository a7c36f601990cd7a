import { ChipOutput } from './chipOutput.ts';
import { SensorChip, type ChipSurroundings } from './sensorChip.ts';

// Register names, bits and limits: ST DocID027765 (LSM303AGR), as in ST's public driver; self-test 15 to 500 mG.
const OFFSET_X_REG_L_M = 0x45;
const OFFSET_Z_REG_H_M = 0x4a;
const WHO_AM_I_M = 0x4f;
const CFG_REG_A_M = 0x60;
const CFG_REG_C_M = 0x62;
const INT_CTRL_REG_M = 0x63;
const STATUS_REG_M = 0x67;
const OUTX_L_REG_M = 0x68;
const OUTZ_H_REG_M = 0x6d;

const ratesHz = [10, 20, 50, 100];
const continuous = 0;
const single = 1;
const idle = 3;
const singleMeasurementS = 0.0094;
const selfTestCounts = 133; // 200 mG

/** The magnetometer of an LSM303AGR at register level. `countsAt` gives counts of 150 nT. */
export class Lsm303agrMagnetometer extends SensorChip {
  readonly address = 0x1e;
  private readonly output = new ChipOutput();

  constructor(around: ChipSurroundings) {
    super(around);
    this.powerUp();
  }

  powerUp(): void {
    this.registers.fill(0);
    this.registers[CFG_REG_A_M] = idle;
    this.applySettings();
  }

  /** Always, whatever bit 7 says. */
  protected incrementsAfter(): boolean {
    return true;
  }

  protected writeRegister(register: number, value: number): void {
    const isOffset = register >= OFFSET_X_REG_L_M && register <= OFFSET_Z_REG_H_M;
    const isSetting = register >= CFG_REG_A_M && register <= INT_CTRL_REG_M;
    if (!isOffset && !isSetting) return; // read-only or reserved
    this.refresh();
    if (register === CFG_REG_A_M && value & 0x20) {
      this.powerUp(); // SOFT_RST
      return;
    }
    this.registers[register] = register === CFG_REG_A_M ? value & ~0x40 : value; // REBOOT clears itself
    this.applySettings();
  }

  protected readRegister(register: number): number {
    this.refresh();
    if (register === WHO_AM_I_M) return 0x40;
    if (register === STATUS_REG_M) return this.output.status();
    if (register >= OUTX_L_REG_M && register <= OUTZ_H_REG_M) return this.output.readByte(register - OUTX_L_REG_M);
    return this.registers[register];
  }

  private applySettings(): void {
    const mode = this.registers[CFG_REG_A_M] & 3;
    const hz =
      mode === continuous
        ? ratesHz[(this.registers[CFG_REG_A_M] >> 2) & 3]
        : mode === single
          ? 1 / singleMeasurementS
          : 0;
    this.runClock(hz);
    this.output.blockDataUpdate = (this.registers[CFG_REG_C_M] & 0x10) !== 0;
  }

  /** Takes over the newest sample; in idle mode there is none and the old one stays. */
  private refresh(): void {
    const counts = this.newest();
    if (counts === undefined) return;
    const { field } = counts;
    // The chip's own axes are left-handed: y runs the other way than in what the wire carries (board/src/chips/lsm303agr.cpp).
    this.output.latch(this.toRegister(field[0], 0), this.toRegister(-field[1], 1), this.toRegister(field[2], 2));
    if ((this.registers[CFG_REG_A_M] & 3) === single) {
      this.registers[CFG_REG_A_M] |= idle;
      this.applySettings();
    }
  }

  private toRegister(counts: number, axis: number): number {
    const at = OFFSET_X_REG_L_M + 2 * axis;
    const hardIron = ((this.registers[at] | (this.registers[at + 1] << 8)) << 16) >> 16;
    const push = !this.seized && this.registers[CFG_REG_C_M] & 0x02 ? selfTestCounts : 0;
    return Math.max(-32768, Math.min(32767, counts + push - hardIron));
  }
}
