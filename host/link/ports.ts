import { readdir } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { exitCode, Failure } from '../failure.ts';
import type { PortCandidate, UsbIdentity } from './bytePort.ts';
import { recallBoard, type RememberedBoard } from './memory.ts';
import { mayOpen, metPorts, type FoundPort } from './metPorts.ts';
import { loadSerialPort, serialCandidate } from './serialPort.ts';

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
      'The serial ports cannot be listed here.',
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
 * Ports where a board may be, best first: USB adapters only, so that a port built into the machine, or what hangs on it, is left
 * in peace. Such a port is used when it is named.
 */
async function usualPorts(): Promise<{ port: FoundPort; mayOpen?: boolean }[]> {
  const [ports, remembered, met] = await Promise.all([listPorts(), recallBoard(), metPorts()]);
  const usable = ports.filter(
    ({ path, usb }) => usb !== undefined || usbName.test(basename(path)) || path === remembered?.path,
  );
  // a board that answered before anybody was asked
  const known = remembered ? [...met, { ...remembered, mayOpen: true }] : met;
  return inOrder(usable, remembered).map((port) => ({ port, mayOpen: mayOpen(port, known, usable) }));
}

/** Ports that discovery tries: those that the person lets it open. */
export const boardCandidates = async (): Promise<PortCandidate[]> =>
  (await usualPorts()).filter((each) => each.mayOpen).map(({ port }) => serialCandidate(port.path, port.usb));

/** Every USB port, as `--port any` asks for. */
const anyCandidates = async (): Promise<PortCandidate[]> =>
  (await usualPorts()).map(({ port }) => serialCandidate(port.path, port.usb));

/** What `--port` asks for: one port by its name, `any`, or those that may be opened unasked. */
export function candidatesFor(port: string | undefined): () => Promise<PortCandidate[]> {
  if (port === undefined) return boardCandidates;
  if (port === 'any') return anyCandidates;
  let named: PortCandidate | undefined;
  return async () => {
    const isNamed = ({ path }: FoundPort): boolean => path === port;
    named ??= serialCandidate(port, (await listPorts().catch(() => [])).find(isNamed)?.usb);
    return [named];
  };
}

/** Ports that nobody was asked about yet; none where they cannot be listed. */
export const unmetPorts = async (): Promise<FoundPort[]> =>
  (await usualPorts().catch(() => [])).filter((each) => each.mayOpen === undefined).map(({ port }) => port);
