import { readFile } from 'node:fs/promises';
import type { UsbIdentity } from '../link/bytePort.ts';
import type { FoundPort } from '../link/metPorts.ts';
import { udevRuleFile, udevRulesOfOurs } from './runUdev.ts';
import { texts } from './words/board.ts';

/** A port and whether this user may open it. */
export interface ListedPort extends FoundPort {
  mayOpen: boolean;
  owningGroup?: string;
  /** What gives access where it is missing. */
  groupCommand?: string;
  udevRule?: string;
}

/** As the rules name an adapter; they write its numbers in small letters. */
const attributes = ({ vendorId, productId }: UsbIdentity): string =>
  `ATTRS{idVendor}=="${vendorId.toLowerCase()}", ATTRS{idProduct}=="${productId.toLowerCase()}"`;

/** Gives the group access to an adapter, and keeps modem services, which write to every new serial port, away from it. */
export const udevRule = (usb: UsbIdentity): string =>
  `SUBSYSTEM=="tty", ${attributes(usb)}, GROUP="dialout", MODE="0660", ENV{ID_MM_DEVICE_IGNORE}="1"`;

/** Lines that say how this user comes to open the ports, and how modem services are kept off them. */
export async function accessLines(ports: readonly ListedPort[]): Promise<string[]> {
  const ours = await readFile(udevRulesOfOurs, 'utf8');
  const isOurs = ({ usb }: FoundPort): boolean => usb !== undefined && ours.includes(attributes(usb));
  const withRule = ports.filter((port) => port.udevRule !== undefined);
  const others = new Set(withRule.flatMap((port) => (isOurs(port) ? [] : [port.udevRule])));
  const commands = new Set(ports.flatMap(({ groupCommand }) => groupCommand ?? []));
  const isClosed = ports.some(({ mayOpen }) => !mayOpen);
  return [
    ...(withRule.some(isOurs) ? [isClosed ? texts.installRule : texts.keepModemsOffOurs] : []),
    ...[...commands].map(texts.access),
    ...(isClosed && (withRule.length > 0 || commands.size > 0) ? [texts.withoutRights] : []),
    ...(others.size > 0 ? [texts.keepModemsOff(udevRuleFile), ...[...others].map((rule) => `    ${rule}`)] : []),
  ];
}
