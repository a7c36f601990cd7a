import type { CPU } from 'avr8js';
import { AVRUSART, usart0Config } from 'avr8js';

/** The parts of avr8js's interrupt and USART that its types hide. */
interface Interrupt {
  constant?: boolean;
}
interface UsartInside {
  RXC: Parameters<CPU['setInterruptFlag']>[0];
  UDRE: Interrupt;
}

const receiveComplete = 0x80; // RXC0 in UCSR0A
const longestBacklog = 4096;

/** USART0 (ATmega328P datasheet, USART0) and the line to the host, with what avr8js 0.21 leaves out put right. */
export class SerialLine {
  private readonly usart: AVRUSART;
  private readonly cpu: CPU;
  private readonly backlog: number[] = [];

  constructor(cpu: CPU, clockHz: number, onByte: (byte: number) => void) {
    this.cpu = cpu;
    this.usart = new AVRUSART(cpu, usart0Config, clockHz);
    this.usart.onByteTransmit = onByte;
    const inside = this.usart as unknown as UsartInside;
    // avr8js clears UDRE when its interrupt is entered; the chip clears it only when UDR is written. A transmit interrupt
    // that switches itself off when its buffer is empty would stop for ever.
    inside.UDRE.constant = true;
    this.keepReceivedByte(inside);
    const readData = cpu.readHooks[usart0Config.UDR];
    cpu.readHooks[usart0Config.UDR] = (address) => {
      const value = readData(address);
      this.pump();
      return value;
    };
  }

  /** avr8js drops a byte that waits to be read when a control register is written. */
  private keepReceivedByte(inside: UsartInside): void {
    const { UCSRA, UCSRB } = usart0Config;
    for (const register of [UCSRA, UCSRB]) {
      const write = this.cpu.writeHooks[register];
      this.cpu.writeHooks[register] = (value, oldValue, address, mask) => {
        const waiting = this.byteWaits();
        const done = write(value, oldValue, address, mask);
        if (waiting) this.cpu.setInterruptFlag(inside.RXC);
        // The receiver may just have been switched on: bytes that came before are lost on a real line, but the host's
        // first request must not depend on how fast the board starts.
        this.pump();
        return done;
      };
    }
  }

  private byteWaits(): boolean {
    return (this.cpu.data[usart0Config.UCSRA] & receiveComplete) !== 0;
  }

  /** Bytes from the host, delivered one after the other at the line's speed; never over one that was not read yet. */
  feed(bytes: Uint8Array): void {
    for (const byte of bytes) if (this.backlog.length < longestBacklog) this.backlog.push(byte);
    this.pump();
  }

  private pump(): void {
    if (this.backlog.length === 0 || this.usart.rxBusy || this.byteWaits()) return;
    if (this.usart.writeByte(this.backlog[0])) this.backlog.shift();
  }
}
