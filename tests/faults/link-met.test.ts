import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PassThrough } from 'node:stream';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { askAboutPorts } from '../../host/commands/askAboutPorts.ts';
import { rememberBoard } from '../../host/link/memory.ts';
import { mayOpen, meetPort, metPorts, unmetWords, type FoundPort } from '../../host/link/metPorts.ts';
import { serialCandidate } from '../../host/link/serialPort.ts';
import { testHello } from './link-farEnd.ts';

const adapter = (path: string, serialNumber?: string): FoundPort => ({
  path,
  usb: { vendorId: '1a86', productId: '7523', serialNumber },
});
const controller = { path: '/dev/ttyUSB0', usb: { vendorId: '0403', productId: '6001', serialNumber: 'M77' } };

/** A terminal on which somebody types. */
const terminal = (typed: string): NodeJS.ReadStream => {
  const input = Object.assign(new PassThrough(), { isTTY: true });
  input.end(typed);
  return input as unknown as NodeJS.ReadStream;
};

describe('a serial device that nobody has met', () => {
  let home: string;
  beforeEach(() => {
    home = mkdtempSync(join(tmpdir(), 'lodepole-met-'));
    process.env.LODEPOLE_HOME = home;
  });
  afterEach(() => {
    delete process.env.LODEPOLE_HOME;
    rmSync(home, { recursive: true });
  });

  it('is asked about once, and the answer holds wherever it is plugged in', async () => {
    const board = adapter('/dev/ttyUSB1', 'B2');
    await askAboutPorts({}, async () => [controller, board], terminal('what?\nn\nyes\n'));
    const met = await metPorts();
    const moved = [
      { ...controller, path: '/dev/ttyUSB4' },
      { ...board, path: '/dev/ttyUSB5' },
    ];
    expect(moved.map((port) => mayOpen(port, met, moved))).toEqual([false, true]);
    expect(mayOpen(adapter('/dev/ttyUSB1', 'B3'), met, [])).toBeUndefined();
  });

  it('is opened by nobody when the question is not answered', async () => {
    await expect(askAboutPorts({}, async () => [controller], terminal('perhaps\n'))).rejects.toMatchObject({
      code: 130,
    });
    expect(await metPorts()).toEqual([]);
  });

  it('is not asked about where a port or a scene is named, for a machine, or without a terminal', async () => {
    const never = async (): Promise<FoundPort[]> => {
      throw new Error('looked for');
    };
    const asking = terminal('y\n');
    for (const options of [{ port: 'any' }, { virtual: 'orchard' }, { json: true }])
      await askAboutPorts(options, never, asking);
    await askAboutPorts({}, never, new PassThrough() as unknown as NodeJS.ReadStream);
    expect(unmetWords([controller])).toMatch(
      /ttyUSB0 \(USB 0403:6001, serial number M77\).*--port \/dev\/ttyUSB0.*--port any/,
    );
  });

  it('without a serial number is known where it was, and by its make only when nothing of that make can be meant', async () => {
    await meetPort(adapter('/dev/ttyUSB1'), true);
    const at = async (path: string, ...here: string[]): Promise<boolean | undefined> =>
      mayOpen(
        adapter(path),
        await metPorts(),
        [path, ...here].map((each) => adapter(each)),
      );
    expect(await at('/dev/ttyUSB1')).toBe(true);
    expect(await at('/dev/ttyUSB2')).toBe(true);
    expect(await at('/dev/ttyUSB2', '/dev/ttyUSB1')).toBeUndefined();
    await meetPort(adapter('/dev/ttyUSB3'), false);
    expect(await at('/dev/ttyUSB2')).toBeUndefined();
    expect(await at('/dev/ttyUSB3')).toBe(false);
  });

  it('that was named and answered as a board is known from then on', async () => {
    await rememberBoard(serialCandidate(controller.path, controller.usb), testHello);
    expect(mayOpen(controller, await metPorts(), [])).toBe(true);
    const before = readFileSync(join(home, 'ports.json'), 'utf8');
    await rememberBoard(serialCandidate(controller.path, controller.usb), testHello);
    expect(readFileSync(join(home, 'ports.json'), 'utf8')).toBe(before);
  });

  it('is asked about again where the answers cannot be read', async () => {
    await meetPort(controller, true);
    writeFileSync(join(home, 'ports.json'), '{');
    expect(mayOpen(controller, await metPorts(), [])).toBeUndefined();
  });
});
