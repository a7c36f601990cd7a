import {
  BasePeripheral,
  GPIOPinState,
  LogLevel,
  Simulator,
  USBCDC,
  type Logger,
  type RP2040,
  type RPI2C,
} from 'rp2040js';
import type { TwoWireDevice } from '../twoWire.ts';
import { CoreClock } from './coreClock.ts';
import { OpenDrain } from './openDrain.ts';
import { PicoRom } from './picoRom.ts';

/** The program sets the system clock to this; rp2040js counts cycles without caring. */
const clockHz = 48_000_000;
const sclNanos = 1e9 / 400_000;
const [sda, scl, led] = [4, 5, 25];
const dataEndpoint = 2;
const watchdogAddress = 0x40058;
const ringOscillatorAddress = 0x40060;
const resetsAddress = 0x4000c;
const i2cReset = 1 << 3;
const enableOffset = 0x6c;
const longestBacklog = 4096;
const writtenMegabytes = 2;

export const picoFlash = { start: 0x10000000, bytes: writtenMegabytes * 1024 * 1024, family: 0xe48bff56 } as const;

interface PicoParts {
  /** `picoFlash.bytes` of flash, shared: what the program writes stays. */
  flash: Uint8Array;
  byWatchdog: boolean;
  devices: readonly TwoWireDevice[];
  /** Which of its two serial lines the host is on. */
  line: 'usb' | 'uart';
  randomBit: () => boolean;
  onByte: (byte: number) => void;
}

/** The parts of rp2040js that its types hide. */
interface WatchdogInside {
  reason: number;
  alarm: { enable: boolean };
  onWatchdogTrigger: () => void;
}

interface BusInside {
  state: number;
  busy: boolean;
  stop: boolean;
  pendingRestart: boolean;
}

class Silent implements Logger {
  readonly said: string[] = [];
  readonly level = LogLevel.Warn;
  debug(): void {}
  info(): void {}
  warn(name: string, message: string): void {
    this.said.push(`${name}: ${message}`);
  }
  error(name: string, message: string): void {
    this.said.push(`${name}: ${message}`);
  }
}

/** The ring oscillator's random bit (RP2040 datasheet 2.17.5), which rp2040js does not have. */
class RingOscillator extends BasePeripheral {
  randomBit: () => boolean = () => false;
  override readUint32(offset: number): number {
    return offset === 0x1c ? Number(this.randomBit()) : super.readUint32(offset);
  }
}

/** A Raspberry Pi Pico from one reset to the next, on rp2040js. */
export class PicoProcessor {
  bitten = false;
  readonly bus: OpenDrain;
  readonly rom: PicoRom;
  /** What rp2040js complained about: registers that it does not have. */
  readonly complaints: readonly string[];
  private readonly chip: RP2040;
  private readonly core: CoreClock;
  private readonly parts: PicoParts;
  private readonly backlog: number[] = [];
  private usbReadWaits = false;
  private talkingTo: TwoWireDevice | undefined;

  /** Throws when the boot ROM would not start this flash. */
  constructor(parts: PicoParts) {
    this.parts = parts;
    const { rp2040: chip, clock } = new Simulator();
    this.chip = chip;
    const logger = new Silent();
    this.complaints = logger.said;
    chip.logger = logger;
    chip.flash.set(parts.flash);
    this.core = new CoreClock(chip.core, clock, clockHz);
    this.bus = new OpenDrain(() => this.updatePins());
    this.connectBus(chip.i2c[0]);
    this.connectSerial();
    const watchdog = chip.peripherals[watchdogAddress] as unknown as WatchdogInside;
    watchdog.reason = parts.byWatchdog ? 1 : 0;
    watchdog.onWatchdogTrigger = () => {
      watchdog.alarm.enable = false; // it would go off again at once, and for ever
      this.bitten = true;
      this.core.isStopped = true;
    };
    const oscillator = new RingOscillator(chip, 'ROSC');
    oscillator.randomBit = parts.randomBit;
    chip.peripherals[ringOscillatorAddress] = oscillator;
    this.rom = new PicoRom(chip);
    this.rom.boot();
  }

  get elapsedS(): number {
    return this.chip.clock.nanos / 1e9;
  }

  get awakeS(): number {
    return this.core.busyNanos / 1e9;
  }

  get flash(): Uint8Array {
    return this.chip.flash.subarray(0, picoFlash.bytes);
  }

  get lightIsOn(): boolean {
    return this.chip.gpio[led].value === GPIOPinState.High;
  }

  runTo(elapsedS: number): void {
    this.core.runTo(elapsedS * 1e9);
  }

  hang(): void {
    this.chip.core.waiting = false;
    const jumpToItself = 0xe7fe;
    this.chip.flashView.setUint16((this.chip.core.PC & ~1) - picoFlash.start, jumpToItself, true);
  }

  /** Bytes from the host. */
  feed(bytes: Uint8Array): void {
    if (this.parts.line === 'uart') {
      for (const byte of bytes) this.chip.uart[0].feedByte(byte);
      return;
    }
    for (const byte of bytes) if (this.backlog.length < longestBacklog) this.backlog.push(byte);
    this.answerUsbRead();
  }

  private connectSerial(): void {
    const { chip, parts } = this;
    if (parts.line === 'uart') chip.uart[0].onByte = parts.onByte;
    if (parts.line === 'uart') return;
    const port = new USBCDC(chip.usbCtrl);
    port.onSerialData = (bytes) => {
      for (const byte of bytes) parts.onByte(byte);
    };
    // The helper answers a read with nothing when it has nothing; a host leaves the board waiting instead.
    chip.usbCtrl.onEndpointRead = (endpoint) => {
      if (endpoint !== dataEndpoint) return;
      this.usbReadWaits = true;
      this.answerUsbRead();
    };
  }

  private answerUsbRead(): void {
    if (!this.usbReadWaits || this.backlog.length === 0) return;
    this.usbReadWaits = false;
    this.chip.usbCtrl.endpointReadDone(dataEndpoint, Uint8Array.from(this.backlog.splice(0, 64)));
  }

  private connectBus(i2c: RPI2C): void {
    const { clock } = this.chip;
    let after: () => void = () => undefined;
    const alarm = clock.createAlarm(() => after());
    /** Completes after so many periods of SCL; never, while SDA is held low. */
    const later = (periods: number, complete: () => void): void => {
      after = () => {
        if (!this.bus.isHeld) complete();
      };
      alarm.schedule(periods * sclNanos);
    };
    i2c.onStart = () => later(1, () => i2c.completeStart());
    i2c.onConnect = (address, mode) => {
      const isWrite = mode === 0;
      this.talkingTo = this.parts.devices.find((device) => device.answersTo(address));
      this.talkingTo?.start(isWrite);
      const acknowledged = this.talkingTo !== undefined;
      later(9, () => i2c.completeConnect(acknowledged));
    };
    i2c.onWriteByte = (byte) => {
      const acknowledged = this.talkingTo?.write(byte) ?? false;
      later(9, () => i2c.completeWrite(acknowledged));
    };
    i2c.onReadByte = () => {
      const byte = this.talkingTo?.read() ?? 0xff;
      later(9, () => i2c.completeRead(byte));
    };
    i2c.onStop = () => {
      this.talkingTo?.stop();
      this.talkingTo = undefined;
      later(1, () => i2c.completeStop());
    };
    for (const pin of [sda, scl]) {
      this.chip.gpio[pin].addListener(() => {
        const pulls = (index: number): boolean => this.chip.gpio[index].value === GPIOPinState.Low;
        this.bus.update(pulls(sda), pulls(scl));
      });
    }
    this.updatePins();
    this.resetBusWithBlock(i2c, () => {
      after = () => undefined;
    });
  }

  /** A reset of the block, which rp2040js does not carry out. */
  private resetBusWithBlock(i2c: RPI2C, forget: () => void): void {
    const resets = this.chip.peripherals[resetsAddress];
    const write = resets.writeUint32.bind(resets);
    const inside = i2c as unknown as BusInside;
    resets.writeUint32 = (offset, value) => {
      write(offset, value);
      if (offset !== 0 || (value & i2cReset) === 0) return;
      this.talkingTo = undefined;
      forget();
      inside.state = 0;
      inside.busy = false;
      inside.stop = false;
      inside.pendingRestart = false;
      i2c.writeUint32(enableOffset, 0);
    };
  }

  private updatePins(): void {
    this.chip.gpio[sda].setInputValue(this.bus.sdaIsHigh);
    this.chip.gpio[scl].setInputValue(this.bus.sclIsHigh);
  }
}
