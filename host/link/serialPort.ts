import type { SerialPort as SerialPortClass } from 'serialport';
import { baudRate } from '../../firmware-proto/wire.ts';
import { exitCode, Failure } from '../failure.ts';
import type { BytePort, PortCandidate } from './bytePort.ts';
import { explainOpenFault } from './openFault.ts';

/** How long an open or a close may take before it is given up, in milliseconds. */
const openLimitMs = 5000;
const closeLimitMs = 300;

/** The serial binding is native code, so it is loaded only when a port is wanted: everything else works without it. */
export async function loadSerialPort(): Promise<typeof SerialPortClass> {
  try {
    return (await import('serialport')).SerialPort;
  } catch (error) {
    throw new Failure(
      exitCode.noBoard,
      'The serial binding does not load on this machine.',
      'Run "npm rebuild @serialport/bindings-cpp", or go on without a board: the virtual board and replay work.',
      { cause: error },
    );
  }
}

/** serialport 13 behind our interface. One object serves one opening: it is never opened again. */
class SerialBytePort implements BytePort {
  private readonly port: SerialPortClass;
  private closeListener: ((reason: string) => void) | undefined;
  private isClosed = false;

  constructor(port: SerialPortClass) {
    this.port = port;
    port.on('close', (error: Error | null) => this.farEndGone(error?.message ?? 'the port was closed'));
    // Stays attached for good: a close with writes pending still emits an error.
    port.on('error', (error: Error) => this.farEndGone(error.message));
  }

  private farEndGone(reason: string): void {
    if (this.isClosed) return;
    this.isClosed = true;
    this.closeListener?.(reason);
  }

  onBytes(listener: (bytes: Uint8Array) => void): void {
    this.port.on('data', listener);
  }

  onClose(listener: (reason: string) => void): void {
    this.closeListener = listener;
  }

  write(text: string): void {
    if (!this.isClosed && this.port.isOpen) this.port.write(text, 'latin1');
  }

  /** Does not wait for a port that hangs: a spinning or stuck binding must not keep the user. */
  async close(): Promise<void> {
    this.isClosed = true;
    this.port.removeAllListeners('data');
    if (!this.port.isOpen) return;
    await new Promise<void>((resolve) => {
      const limit = setTimeout(resolve, closeLimitMs);
      this.port.close(() => {
        clearTimeout(limit);
        resolve();
      });
    });
    this.port.destroy();
  }
}

/** Opens a device path for us alone, at the protocol's speed where no other is given. */
export async function openSerialPort(path: string, speed: number = baudRate): Promise<BytePort> {
  const SerialPort = await loadSerialPort();
  const port = new SerialPort({ path, baudRate: speed, autoOpen: false, lock: true });
  port.on('error', () => {});
  const fault = await new Promise<Error | null>((resolve) => {
    let isLate = false;
    const limit = setTimeout(() => {
      isLate = true;
      resolve(new Error('Opening takes too long'));
    }, openLimitMs);
    // Must not keep a program that ends meanwhile.
    limit.unref();
    port.open((error) => {
      clearTimeout(limit);
      // A port that opens after it was given up must not stay open.
      if (isLate && error === null) port.close();
      resolve(error);
    });
  });
  if (fault !== null) throw await explainOpenFault(path, fault.message);
  return new SerialBytePort(port);
}

export const serialCandidate = (path: string, usb?: PortCandidate['usb']): PortCandidate => ({
  name: path,
  usb,
  open: () => openSerialPort(path),
});
