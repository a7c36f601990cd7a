import { expect, test } from 'vitest';
import { accessLines, udevRule } from '../../host/commands/portAccess.ts';

const closed = { path: '/dev/ttyUSB3', mayOpen: false, groupCommand: 'sudo usermod -a -G dialout ana' };
const known = { vendorId: '1a86', productId: '7523' };
const unknown = { vendorId: '1A2B', productId: '3c4d' };
const linesOf = async (usb: typeof known, change = {}): Promise<string> =>
  (await accessLines([{ ...closed, usb, udevRule: udevRule(usb), ...change }])).join('\n');

test('a port of an adapter that the rule knows may be opened by one command; no line is pasted by hand', async () => {
  const lines = await linesOf(known);
  expect(lines).toContain('To get access at the screen of this computer: lodepole board --udev install');
  expect(lines).toContain('sudo usermod -a -G dialout ana');
  expect(lines).toContain('ask the person who has them');
  expect(lines).not.toContain('SUBSYSTEM');
});

test('an adapter in capitals is the same one', async () => {
  const lines = await linesOf({ vendorId: '1A86', productId: '7523' });
  expect(lines).toContain('--udev install');
  expect(lines).not.toContain('SUBSYSTEM');
});

test('an adapter that the rule does not know gets a line of its own, and is not promised anything', async () => {
  const lines = await linesOf(unknown);
  expect(lines).toContain('does not know this adapter');
  expect(lines).toContain('ATTRS{idVendor}=="1a2b", ATTRS{idProduct}=="3c4d", GROUP="dialout"');
  expect(lines).not.toContain('--udev install');
});

test('a port that may be opened needs no rights; only modem services are spoken of', async () => {
  const lines = await linesOf(known, { mayOpen: true, groupCommand: undefined });
  expect(lines).toBe('  To keep modem services off the board: lodepole board --udev install');
});

test('nothing is said where there is nothing to do', async () => {
  expect(await accessLines([])).toEqual([]);
  expect(await accessLines([{ path: 'COM3', mayOpen: true }])).toEqual([]);
});
