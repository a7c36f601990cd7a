import { NrfBlock, type NrfBus } from './nrfPeripheral.ts';

/** TIMER (product specification): 32 bits of microseconds, as the program sets it up; compare 0 and capture. */
export class NrfTimer extends NrfBlock {
  private startNanos: number | undefined;
  private readonly compare = this.alarm(() => this.event(0x140));

  constructor(bus: NrfBus) {
    super(bus, 8);
  }

  override write(offset: number, value: number): void {
    super.write(offset, value);
    if (offset === 0x540) this.schedule();
  }

  protected task(offset: number): void {
    if (offset === 0) {
      if (this.read(0x508) !== 3 || this.read(0x510) !== 4)
        throw new Error('TIMER0 is not set to 32 bits of microseconds');
      this.startNanos = this.bus.clock.nanos;
    } else if (offset >= 0x40 && offset <= 0x54) {
      this.registers.set(0x540 + offset - 0x40, this.micros >>> 0);
    }
  }

  private get micros(): number {
    return this.startNanos === undefined ? 0 : Math.floor((this.bus.clock.nanos - this.startNanos) / 1000);
  }

  private schedule(): void {
    const { micros, startNanos } = this;
    if (startNanos === undefined) return;
    const ahead = (this.read(0x540) - micros) >>> 0;
    this.compare.schedule(Math.max(1, startNanos + (micros + ahead) * 1000 - this.bus.clock.nanos));
  }
}
