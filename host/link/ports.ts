import { readdir } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { exitCode, Failure } from '../failure.ts';
import type { PortCandidate, UsbIdentity } from './bytePort.ts';
import { recallBoard, type RememberedBoard } from './memory.ts';
import { loadSerialPort, serialCandidate } from './serialPort.ts';

export interface FoundPort {
  path: string;
  usb?: UsbIdentity;
  /** As the adapter names itself, where it does. */
  maker?: string;
}

/** Names that Linux gives to USB serial adapters and to boards with USB of their own. */
const usbName = /^tty(USB|ACM)\d+$/;

/** USB serial ports by their names alone, for machines without udevadm (containers). */
export async function portsByName(folder = '/dev'): Promise<FoundPort[]> {
  const names = await readdir(folder).catch(() => []);
  return names
    .filter((name) => usbName.test(name))
    .sort()
    .map((name) => ({ path: join(folder, name) }));
}

/**
 * Serial ports of this machine. Throws Failure where the serial binding does not load or cannot list them. Pseudo-terminals
 * are never among them.
 */
export async function listPorts(): Promise<FoundPort[]> {
  const SerialPort = await loadSerialPort();
  try {
    return (await SerialPort.list()).map(({ path, vendorId, productId, serialNumber, manufacturer }) => ({
      path,
      usb: vendorId === undefined || productId === undefined ? undefined : { vendorId, productId, serialNumber },
      maker: manufacturer,
    }));
  } catch (error) {
    if (process.platform === 'linux') return portsByName();
    throw new Failure(
      exitCode.noBoard,
      `The serial ports cannot be listed here: ${(error as Error).message}.`,
      'Name the port yourself with --port.',
      { cause: error },
    );
  }
}

const sameUsb = (a: UsbIdentity | undefined, b: UsbIdentity | undefined): boolean =>
  a !== undefined &&
  b !== undefined &&
  a.vendorId === b.vendorId &&
  a.productId === b.productId &&
  a.serialNumber === b.serialNumber;

/** The remembered board's adapter first, then the port it was on, then the rest. */
export function inOrder(ports: readonly FoundPort[], remembered: RememberedBoard | undefined): FoundPort[] {
  const rank = (port: FoundPort): number =>
    sameUsb(port.usb, remembered?.usb) ? 0 : port.path === remembered?.path ? 1 : 2;
  return [...ports].sort((a, b) => rank(a) - rank(b));
}

/**
 * Ports that discovery tries: USB adapters only, so that a port built into the machine, or what hangs on it, is left in peace.
 * Such a port is used when it is named.
 */
export async function boardCandidates(): Promise<PortCandidate[]> {
  const [ports, remembered] = await Promise.all([listPorts(), recallBoard()]);
  const usable = ports.filter(
    ({ path, usb }) => usb !== undefined || usbName.test(basename(path)) || path === remembered?.path,
  );
  return inOrder(usable, remembered).map(({ path, usb }) => serialCandidate(path, usb));
}
