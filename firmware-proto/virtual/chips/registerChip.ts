import type { TwoWireDevice } from '../twoWire.ts';

/** A chip that is a set of registers behind one address: the first byte written is the register's address, the rest its data. */
export abstract class RegisterChip implements TwoWireDevice {
  abstract readonly address: number;
  silent = false;
  protected readonly registers = new Uint8Array(128);
  private pointer = 0;
  private increment = false;
  private expectsPointer = false;

  answersTo(address: number): boolean {
    return address === this.address && !this.silent;
  }

  start(write: boolean): void {
    this.expectsPointer = write;
  }

  write(byte: number): boolean {
    if (this.expectsPointer) {
      this.expectsPointer = false;
      this.pointer = byte & 0x7f;
      this.increment = this.incrementsAfter(byte);
    } else {
      this.writeRegister(this.pointer, byte);
      this.advance();
    }
    return true;
  }

  read(): number {
    const value = this.readRegister(this.pointer);
    this.advance();
    return value;
  }

  stop(): void {
    this.expectsPointer = false;
  }

  /** Whether this register address asks for the next register after each byte. */
  protected abstract incrementsAfter(addressByte: number): boolean;
  protected abstract writeRegister(register: number, value: number): void;
  protected abstract readRegister(register: number): number;

  private advance(): void {
    if (this.increment) this.pointer = (this.pointer + 1) & 0x7f;
  }
}
