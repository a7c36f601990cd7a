import { z } from 'zod';
import { storePath } from '../store/folder.ts';
import { changeJsonFile, readJsonFile } from '../store/jsonFile.ts';
import type { UsbIdentity } from './bytePort.ts';

/** A serial port of this machine. */
export interface FoundPort {
  path: string;
  usb?: UsbIdentity;
  /** As the adapter names itself, where it does. */
  maker?: string;
}

/** What tells one adapter from another, as it is kept. */
export const usbKept = z.strictObject({
  vendorId: z.string().max(16),
  productId: z.string().max(16),
  serialNumber: z.string().max(200).optional(),
});

const metPort = z.strictObject({
  path: z.string().max(1000),
  usb: usbKept.optional(),
  mayOpen: z.boolean(),
});
const portsFile = z.strictObject({ schema: z.literal(1), kind: z.literal('ports'), ports: z.array(metPort).max(200) });
type MetPort = z.infer<typeof metPort>;

const portsPath = (): string => storePath('ports.json');

/** What the person answered for each device so far. A file that cannot be read counts as none: the person is asked again. */
export const metPorts = (): Promise<readonly MetPort[]> =>
  readJsonFile(portsPath(), portsFile).then(
    (file) => file?.ports ?? [],
    () => [],
  );

/** Keeps the answer for a device. Throws Failure when it cannot be saved. */
export async function meetPort({ path, usb }: FoundPort, mayOpen: boolean): Promise<void> {
  await changeJsonFile(portsPath(), portsFile, (kept): z.infer<typeof portsFile> => ({
    schema: 1,
    kind: 'ports',
    ports: [...(kept?.ports ?? []).filter((met) => !isSameDevice(met, { path, usb })), { path, usb, mayOpen }].slice(
      -200,
    ),
  }));
}

type Device = Pick<FoundPort, 'path' | 'usb'>;

/** Many adapters have no serial number: one of the same make is the same device only where it is plugged in at the same place. */
export function isSameDevice(one: Device, other: Device): boolean {
  if (!one.usb || !other.usb) return !one.usb && !other.usb && one.path === other.path;
  return isSameMake(one, other) && (one.usb.serialNumber !== undefined || one.path === other.path);
}

const isSameMake = ({ usb: one }: Device, { usb: other }: Device): boolean =>
  one !== undefined &&
  one.vendorId === other?.vendorId &&
  one.productId === other.productId &&
  one.serialNumber === other.serialNumber;

/**
 * Whether a port may be opened unasked; undefined where nobody was asked yet. A board without a serial number that comes back
 * under another name is known by its make, as long as every device of that make may be opened and none is where it was.
 * @param here all ports that are there now
 */
export function mayOpen(port: Device, met: readonly MetPort[], here: readonly Device[]): boolean | undefined {
  const exact = met.find((each) => isSameDevice(each, port));
  if (exact) return exact.mayOpen;
  const twins = met.filter((each) => isSameMake(each, port));
  const isBack = twins.every((each) => each.mayOpen && !here.some((other) => isSameDevice(each, other)));
  return twins.length > 0 && isBack ? true : undefined;
}

/** `/dev/ttyUSB0 (USB 1a86:7523, serial number X, from MAKER)`. */
export function portWords({ path, usb, maker }: FoundPort): string {
  if (!usb) return path;
  const number = usb.serialNumber === undefined ? 'without a serial number' : `serial number ${usb.serialNumber}`;
  return `${path} (USB ${usb.vendorId}:${usb.productId}, ${number}${maker === undefined ? '' : `, from ${maker}`})`;
}

/** Ports that nobody was asked about yet, and what to do; empty where there are none. */
export function unmetWords(ports: readonly FoundPort[]): string {
  if (ports.length === 0) return '';
  const [first] = ports;
  return (
    `Not opened, because it may be something else in use, such as a motor controller: ${ports.map(portWords).join('; ')}. ` +
    `If it is the board: --port ${first.path}. To open every USB port: --port any.`
  );
}
