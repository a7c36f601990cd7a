import type { TwoWireDevice } from '../twoWire.ts';
import { NrfBlock, type NrfBus } from './nrfPeripheral.ts';
import type { OpenDrain } from './openDrain.ts';

const [startTx, stop] = [0x08, 0x14];
const [stopped, failed, lastRx, lastTx] = [0x104, 0x124, 0x15c, 0x160];
const addressNotAcknowledged = 2;
const dataNotAcknowledged = 4;
const fast = 0x06400000;

/** TWIM (product specification): transfers from and to memory. One transfer is done at its end, after the time that it takes. */
export class NrfTwim extends NrfBlock {
  private readonly devices: readonly TwoWireDevice[];
  private readonly lines: OpenDrain;
  private complete: () => void = () => undefined;
  private readonly done = this.alarm(() => {
    if (!this.lines.isHeld && this.isEnabled) this.complete();
  });

  constructor(bus: NrfBus, devices: readonly TwoWireDevice[], lines: OpenDrain) {
    super(bus, 4);
    this.devices = devices;
    this.lines = lines;
  }

  private get isEnabled(): boolean {
    return this.read(0x500) === 6;
  }

  override write(offset: number, value: number): void {
    if (offset === 0x4c4) this.registers.set(offset, this.read(offset) & ~value);
    else super.write(offset, value);
  }

  protected task(offset: number): void {
    if (offset === stop) this.finish(1, () => this.event(stopped));
    if (offset !== startTx) return;
    if (!this.isEnabled || this.read(0x508) !== 8 || this.read(0x50c) !== 16 || this.read(0x524) !== fast)
      throw new Error('TWIM1 is not set to the inner bus at 400 kHz');
    this.transfer();
  }

  private finish(periods: number, complete: () => void): void {
    this.complete = complete;
    this.done.schedule((periods * 1e9) / 400_000);
  }

  private fail(bit: number, periods: number): void {
    this.finish(periods, () => {
      this.registers.set(0x4c4, this.read(0x4c4) | bit);
      this.event(failed);
    });
  }

  private transfer(): void {
    const address = this.read(0x588);
    const [from, count] = [this.read(0x544), this.read(0x548)];
    const [to, expected] = [this.read(0x534), this.read(0x538)];
    if (from >>> 28 !== 2 || (expected > 0 && to >>> 28 !== 2)) throw new Error('TWIM1 is given what is not in memory');
    this.registers.set(0x54c, 0);
    this.registers.set(0x53c, 0);
    const chip = this.devices.find((device) => device.answersTo(address));
    if (chip === undefined) return this.fail(addressNotAcknowledged, 11);
    chip.start(true);
    for (let index = 0; index < count; index += 1) {
      if (chip.write(this.bus.readByte(from + index))) continue;
      chip.stop();
      return this.fail(dataNotAcknowledged, 11 + 9 * index);
    }
    this.registers.set(0x54c, count);
    const reads = this.hasShort(7);
    if (reads) {
      chip.start(false);
      for (let index = 0; index < expected; index += 1) this.bus.writeByte(to + index, chip.read());
    }
    if (!(reads ? this.hasShort(12) : this.hasShort(9))) throw new Error('TWIM1 is left without a STOP');
    this.finish(reads ? 21 + 9 * (count + expected) : 11 + 9 * count, () => {
      chip.stop();
      if (reads) this.registers.set(0x53c, expected);
      this.event(reads ? lastRx : lastTx);
      this.event(stopped);
    });
  }
}
