import { NrfBlock, type NrfBus } from './nrfPeripheral.ts';

const byteNanos = (10 * 1e9) / 115200;
const [startRx, startTx] = [0x00, 0x08];
const [endRx, endTx] = [0x110, 0x120];
const longestBacklog = 4096;

/** UARTE (product specification) at 115200 baud on the pins of the interface chip. */
export class NrfUarte extends NrfBlock {
  private readonly onByte: (byte: number) => void;
  private readonly backlog: number[] = [];
  private isReceiving = false;
  private sent = 0;
  private readonly nextOut = this.alarm(() => this.sendByte());
  private readonly nextIn = this.alarm(() => this.receiveByte());
  private isBusyIn = false;

  constructor(bus: NrfBus, onByte: (byte: number) => void) {
    super(bus, 2);
    this.onByte = onByte;
  }

  feed(bytes: Uint8Array): void {
    for (const byte of bytes) if (this.backlog.length < longestBacklog) this.backlog.push(byte);
    this.pump();
  }

  protected task(offset: number): void {
    if (this.read(0x500) !== 8 || this.read(0x524) !== 0x01d60000 || this.read(0x50c) !== 6 || this.read(0x514) !== 40)
      throw new Error('UARTE0 is not set to the interface chip at 115200 baud');
    if (offset === startRx) {
      this.isReceiving = true;
      this.pump();
    } else if (offset === startTx) {
      if (this.read(0x544) >>> 28 !== 2) throw new Error('UARTE0 is given what is not in memory');
      this.sent = 0;
      this.nextOut.schedule(byteNanos);
    }
  }

  private sendByte(): void {
    this.onByte(this.bus.readByte(this.read(0x544) + this.sent));
    this.sent += 1;
    if (this.sent < this.read(0x548)) this.nextOut.schedule(byteNanos);
    else this.event(endTx);
  }

  private pump(): void {
    if (!this.isReceiving || this.isBusyIn || this.backlog.length === 0) return;
    this.isBusyIn = true;
    this.nextIn.schedule(byteNanos);
  }

  private receiveByte(): void {
    this.isBusyIn = false;
    const byte = this.backlog.shift();
    if (byte === undefined) return;
    this.bus.writeByte(this.read(0x534), byte);
    this.isReceiving = this.hasShort(5);
    this.event(endRx);
    this.pump();
  }
}
