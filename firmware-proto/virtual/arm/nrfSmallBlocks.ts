import type { Clock, NrfPeripheral } from './nrfPeripheral.ts';
import type { OpenDrain } from './openDrain.ts';

/** POWER and CLOCK at one address: why the chip started, and the crystal that starts at once. */
export class NrfPowerClock implements NrfPeripheral {
  private reasons: number;
  private crystalRuns = false;

  constructor(byWatchdog: boolean) {
    this.reasons = byWatchdog ? 2 : 0;
  }

  read(offset: number): number {
    if (offset === 0x400) return this.reasons;
    return offset === 0x100 ? Number(this.crystalRuns) : 0;
  }

  write(offset: number, value: number): void {
    if (offset === 0) this.crystalRuns = true;
    if (offset === 0x400) this.reasons &= ~value;
  }
}

/** WDT: bites when it is not fed in time; cannot be stopped. */
export class NrfWatchdog implements NrfPeripheral {
  private readonly alarm: { schedule(nanos: number): void };
  private reload = 0xffffffff;
  private runs = false;

  constructor(clock: Clock, bite: () => void) {
    this.alarm = clock.createAlarm(bite);
  }

  read(): number {
    return 0;
  }

  write(offset: number, value: number): void {
    if (offset === 0x504 && !this.runs) this.reload = value;
    if (offset === 0) this.runs = true;
    if (this.runs && (offset === 0 || (offset === 0x600 && value === 0x6e524635)))
      this.alarm.schedule(((this.reload + 1) / 32768) * 1e9);
  }
}

/** NVMC and the flash behind it: erased by pages, written by words, and only in the mode for it. */
export class NrfFlash implements NrfPeripheral {
  /** Called before each change: an erased page, a written word. */
  onWrite: () => void = () => undefined;
  readonly bytes: Uint8Array;
  private readonly view: DataView;
  private mode = 0;

  constructor(bytes: Uint8Array) {
    this.bytes = bytes;
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  }

  read(offset: number): number {
    return offset === 0x400 ? 1 : 0;
  }

  write(offset: number, value: number): void {
    if (offset === 0x504) this.mode = value;
    if (offset !== 0x508) return;
    if (this.mode !== 2 || value % 4096 !== 0) throw new Error('a page is erased out of mode, or across pages');
    this.onWrite();
    this.bytes.fill(0xff, value, value + 4096);
  }

  writeWord(address: number, value: number): void {
    if (this.mode !== 1) throw new Error('the flash is written out of mode');
    this.onWrite();
    this.view.setUint32(address, (this.view.getUint32(address, true) & value) >>> 0, true);
  }
}

/** GPIO of port 0: the pins of the bus and of one light. */
export class NrfGpio implements NrfPeripheral {
  private readonly configuration = new Uint32Array(32).fill(2);
  private out = 0;
  private readonly lines: OpenDrain;

  constructor(lines: OpenDrain) {
    this.lines = lines;
  }

  drives(pin: number, high: boolean): boolean {
    return (this.configuration[pin] & 1) === 1 && ((this.out >>> pin) & 1) === Number(high);
  }

  read(offset: number): number {
    if (offset !== 0x510) return offset === 0x504 ? this.out : 0;
    const isRead = (pin: number): boolean => (this.configuration[pin] & 2) === 0;
    const sda = Number(isRead(16) && this.lines.sdaIsHigh);
    const scl = Number(isRead(8) && this.lines.sclIsHigh);
    return (sda << 16) | (scl << 8);
  }

  write(offset: number, value: number): void {
    if (offset === 0x508) this.out |= value;
    if (offset === 0x50c) this.out &= ~value;
    if (offset >= 0x700 && offset < 0x780) this.configuration[(offset - 0x700) / 4] = value;
    this.lines.update(this.drives(16, false), this.drives(8, false));
  }
}
