import type { Simulator } from 'rp2040js';

export type Clock = Simulator['clock'];

/** A block of the nRF52833: registers by their offset. */
export interface NrfPeripheral {
  read(offset: number): number;
  write(offset: number, value: number): void;
}

/** What a block may do to the rest of the chip. */
export interface NrfBus {
  readonly clock: Clock;
  readByte(address: number): number;
  writeByte(address: number, value: number): void;
  /** The level of a block's interrupt. */
  interrupt(number: number, isHigh: boolean): void;
}

const shorts = 0x200;
const intenset = 0x304;
const intenclr = 0x308;

/**
 * Registers as most blocks have them: tasks from 000h, events from 100h with their interrupt bits in INTENSET, the rest is memory.
 * Product specification, "Peripheral interface".
 */
export abstract class NrfBlock implements NrfPeripheral {
  protected readonly registers = new Map<number, number>();
  protected readonly bus: NrfBus;
  private readonly interruptNumber: number;
  private enabled = 0;

  constructor(bus: NrfBus, interruptNumber: number) {
    this.bus = bus;
    this.interruptNumber = interruptNumber;
  }

  protected abstract task(offset: number): void;

  read(offset: number): number {
    return offset === intenset ? this.enabled : (this.registers.get(offset) ?? 0);
  }

  write(offset: number, value: number): void {
    if (offset < 0x100) {
      if (value === 1) this.task(offset);
      return;
    }
    if (offset === intenset) this.enabled |= value;
    else if (offset === intenclr) this.enabled &= ~value;
    else this.registers.set(offset, value);
    this.updateInterrupt();
  }

  protected event(offset: number): void {
    this.registers.set(offset, 1);
    this.updateInterrupt();
  }

  protected hasShort(bit: number): boolean {
    return (this.read(shorts) & (1 << bit)) !== 0;
  }

  /** Runs `complete` so much later. One at a time for each. */
  protected alarm(complete: () => void): { schedule(nanos: number): void } {
    return this.bus.clock.createAlarm(complete);
  }

  private updateInterrupt(): void {
    let isHigh = false;
    for (const [offset, value] of this.registers) {
      if (offset < 0x100 || offset >= 0x180 || value === 0) continue;
      isHigh ||= (this.enabled & (1 << ((offset - 0x100) / 4))) !== 0;
    }
    this.bus.interrupt(this.interruptNumber, isHigh);
  }
}
