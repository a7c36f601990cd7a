import type { CPU } from 'avr8js';
import { AVRIOPort, AVRTWI, portCConfig, twiConfig } from 'avr8js';

/** A chip on the two-wire bus. */
export interface TwoWireDevice {
  /** Whether it acknowledges this address now. */
  answersTo(address: number): boolean;
  start(write: boolean): void;
  /** Returns whether the chip acknowledges. */
  write(byte: number): boolean;
  read(): number;
  stop(): void;
}

/** The parts of avr8js's TWI that its types hide. */
interface TwiInside {
  busy: boolean;
  TWI: Parameters<CPU['clearInterrupt']>[0];
}

const enable = 0x04; // TWEN
const startBit = 0x20; // TWSTA
const stopBit = 0x10; // TWSTO
const idleStatus = 0xf8;
const sda = 1 << 4; // PC4
const scl = 1 << 5; // PC5
const clocksPerByte = 9;

/** The two-wire interface (ATmega328P datasheet, 2-wire Serial Interface) and its bus, with what avr8js 0.21 leaves out. */
export class TwoWire {
  private readonly cpu: CPU;
  private readonly twi: AVRTWI;
  private readonly inside: TwiInside;
  private readonly port: AVRIOPort;
  private readonly devices: readonly TwoWireDevice[];
  private talkingTo: TwoWireDevice | undefined;
  private session = 0;
  private clocksUntilRelease = 0;
  private sclWasHigh = true;

  constructor(cpu: CPU, clockHz: number, devices: readonly TwoWireDevice[]) {
    this.cpu = cpu;
    this.devices = devices;
    this.port = new AVRIOPort(cpu, portCConfig);
    this.twi = new AVRTWI(cpu, twiConfig, clockHz);
    this.inside = this.twi as unknown as TwiInside;
    cpu.clearInterrupt(this.inside.TWI); // TWINT is clear after reset
    this.inside.TWI.constant = true; // only writing a one clears TWINT
    this.twi.eventHandler = {
      start: () => this.later(1, () => this.twi.completeStart()),
      stop: () => this.later(1, () => this.finishStop()),
      connectToSlave: (address, write) => this.connect(address, write),
      writeByte: (byte) => {
        const acknowledged = this.talkingTo?.write(byte) ?? false;
        this.later(clocksPerByte, () => this.twi.completeWrite(acknowledged));
      },
      readByte: () => {
        const byte = this.talkingTo?.read() ?? 0xff;
        this.later(clocksPerByte, () => this.twi.completeRead(byte));
      },
    };
    this.guardControl();
    this.watchPins();
  }

  /** A fault: a chip holds SDA low until it has seen so many clock pulses; for ever without a number. */
  holdSda(clocks = Number.POSITIVE_INFINITY): void {
    this.clocksUntilRelease = clocks;
    this.updateLines();
  }

  releaseSda(): void {
    this.clocksUntilRelease = 0;
    this.updateLines();
  }

  private guardControl(): void {
    const { TWCR, TWSR } = twiConfig;
    const write = this.cpu.writeHooks[TWCR];
    this.cpu.writeHooks[TWCR] = (value, oldValue, address, mask) => {
      if ((value & enable) === 0) {
        // Switched off: whatever went on is over. avr8js would stay busy for ever.
        this.session += 1;
        this.inside.busy = false;
        this.talkingTo = undefined;
        this.cpu.data[TWSR] = (this.cpu.data[TWSR] & 0x03) | idleStatus;
      } else if (value & startBit && value & stopBit) {
        // STOP, then START: avr8js takes it for a repeated START.
        this.talkingTo?.stop();
        this.talkingTo = undefined;
        this.cpu.data[TWSR] = (this.cpu.data[TWSR] & 0x03) | idleStatus;
        value &= ~stopBit;
      }
      return write(value, oldValue, address, mask);
    };
  }

  /** Completes after so many periods of SCL: avr8js has no timing of its own. Never, while SDA is held low. */
  private later(sclPeriods: number, complete: () => void): void {
    const session = this.session;
    const periodCycles = 16 + 2 * this.cpu.data[twiConfig.TWBR] * this.twi.prescaler;
    this.cpu.addClockEvent(() => {
      if (session === this.session && this.clocksUntilRelease === 0) complete();
    }, sclPeriods * periodCycles);
  }

  private connect(address: number, write: boolean): void {
    this.talkingTo = this.devices.find((device) => device.answersTo(address));
    this.talkingTo?.start(write);
    const acknowledged = this.talkingTo !== undefined;
    this.later(clocksPerByte, () => this.twi.completeConnect(acknowledged));
  }

  private finishStop(): void {
    this.talkingTo?.stop();
    this.talkingTo = undefined;
    this.twi.completeStop();
    this.cpu.clearInterrupt(this.inside.TWI); // TWINT is not set after a STOP; avr8js sets it
  }

  private watchPins(): void {
    for (const register of [portCConfig.DDR, portCConfig.PORT]) {
      const write = this.cpu.writeHooks[register];
      this.cpu.writeHooks[register] = (value, oldValue, address, mask) => {
        const done = write(value, oldValue, address, mask);
        this.updateLines();
        return done;
      };
    }
    this.updateLines();
  }

  /** Open-drain lines with pull-up resistors: low while anybody pulls. */
  private updateLines(): void {
    const pulledLow = this.cpu.data[portCConfig.DDR] & ~this.cpu.data[portCConfig.PORT];
    const sclHigh = (pulledLow & scl) === 0;
    if (sclHigh && !this.sclWasHigh && this.clocksUntilRelease > 0) this.clocksUntilRelease -= 1;
    this.sclWasHigh = sclHigh;
    this.port.setPin(4, (pulledLow & sda) === 0 && this.clocksUntilRelease === 0);
    this.port.setPin(5, sclHigh);
  }
}
