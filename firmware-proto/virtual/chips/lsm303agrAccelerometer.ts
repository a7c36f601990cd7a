import { ChipOutput } from './chipOutput.ts';
import { SensorChip, type ChipSurroundings } from './sensorChip.ts';

// Register names, bits and limits: ST DocID027765 (LSM303AGR), as in ST's public driver; self-test 68 to 1440 mg.
const STATUS_REG_AUX_A = 0x07;
const OUT_TEMP_L_A = 0x0c;
const OUT_TEMP_H_A = 0x0d;
const WHO_AM_I_A = 0x0f;
const TEMP_CFG_REG_A = 0x1f;
const CTRL_REG1_A = 0x20;
const CTRL_REG4_A = 0x23;
const CTRL_REG5_A = 0x24;
const STATUS_REG_A = 0x27;
const OUT_X_L_A = 0x28;
const OUT_Z_H_A = 0x2d;

const ratesHz = [0, 1, 10, 25, 50, 100, 200, 400, 1620, 1344];
const lowPowerFastestHz = 5376;
/** mg per count of 12 bit at +-2, 4, 8 and 16 g. */
const scalesMg = [0.98, 1.95, 3.91, 11.72];
const selfTestMg = 400;
const defaults: readonly (readonly [number, number])[] = [[CTRL_REG1_A, 0x07]];

/** The accelerometer of an LSM303AGR at register level. `countsAt` gives 12-bit counts of 0.98 mg, as at +-2 g. */
export class Lsm303agrAccelerometer extends SensorChip {
  readonly address = 0x19;
  private readonly output = new ChipOutput();
  private temperature = 0;
  private temperatureReady = false;

  constructor(around: ChipSurroundings) {
    super(around);
    this.powerUp();
  }

  powerUp(): void {
    this.registers.fill(0);
    for (const [register, value] of defaults) this.registers[register] = value;
    this.applySettings();
  }

  protected incrementsAfter(addressByte: number): boolean {
    return (addressByte & 0x80) !== 0;
  }

  protected writeRegister(register: number, value: number): void {
    if (register < TEMP_CFG_REG_A || (register >= STATUS_REG_A && register <= OUT_Z_H_A)) return; // read-only or reserved
    if (register === CTRL_REG5_A) value &= 0x7f; // BOOT clears itself
    this.refresh();
    this.registers[register] = value;
    this.applySettings();
  }

  protected readRegister(register: number): number {
    this.refresh();
    switch (register) {
      case WHO_AM_I_A:
        return 0x33;
      case STATUS_REG_AUX_A:
        return this.temperatureReady ? 0x04 : 0;
      case OUT_TEMP_L_A:
        return this.temperature & 0xff;
      case OUT_TEMP_H_A:
        this.temperatureReady = false;
        return (this.temperature >> 8) & 0xff;
      case STATUS_REG_A:
        return this.output.status();
      default:
        if (register < OUT_X_L_A || register > OUT_Z_H_A) return this.registers[register];
        if (register === OUT_X_L_A) this.onOutputRead();
        return this.output.readByte(register - OUT_X_L_A);
    }
  }

  private applySettings(): void {
    const lowPower = (this.registers[CTRL_REG1_A] & 0x08) !== 0;
    const selected = this.registers[CTRL_REG1_A] >> 4;
    const hz = selected === 9 && lowPower ? lowPowerFastestHz : (ratesHz[selected] ?? 0);
    this.runClock(hz);
    this.output.blockDataUpdate = (this.registers[CTRL_REG4_A] & 0x80) !== 0;
  }

  /** Takes over the newest sample; in power-down there is none and the old one stays. */
  private refresh(): void {
    const counts = this.newest();
    if (counts === undefined) return;
    const { accel, temperature } = counts;
    // The chip's own axes are left-handed: y runs the other way than in what the wire carries (board/src/chips/lsm303agr.cpp).
    this.output.latch(this.toRegister(accel[0]), this.toRegister(-accel[1]), this.toRegister(accel[2]));
    if (this.registers[TEMP_CFG_REG_A] >> 6 === 3 && this.output.blockDataUpdate) {
      this.temperature = temperature & ~0x3f; // 10 bit
      this.temperatureReady = true;
    }
  }

  /** What the output registers show of a measurement, at the range, the resolution and with the self-test that are set. */
  private toRegister(counts: number): number {
    const control = this.registers[CTRL_REG4_A];
    const push = this.seized ? 0 : ([0, selfTestMg, -selfTestMg, 0][(control >> 1) & 3] ?? 0);
    const scaleMg = scalesMg[(control >> 4) & 3];
    const value = Math.round((counts * scalesMg[0] + push) / scaleMg);
    const bits = this.registers[CTRL_REG1_A] & 0x08 ? 8 : control & 0x08 ? 12 : 10;
    const dropped = (1 << (12 - bits)) - 1;
    return (Math.max(-2048, Math.min(2047, value)) & ~dropped) << 4;
  }
}
