import { spawn, spawnSync } from 'node:child_process';
import { chmod, mkdtemp, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir, userInfo } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { Failure } from '../../host/failure.ts';
import { explainOpenFault, openFaultKind } from '../../host/link/openFault.ts';
import { inOrder, listPorts, portsByName } from '../../host/link/ports.ts';
import { openSerialPort } from '../../host/link/serialPort.ts';
import { patience } from '../job/patience.ts';
import { FarEnd, until } from './link-farEnd.ts';

const hasSocat = spawnSync('socat', ['-V']).status === 0;
if (!hasSocat) console.log('SKIPPED: opening pseudo-terminals needs socat (Debian package socat)');

const faultOf = async (opening: Promise<unknown>): Promise<Failure> => {
  const fault = await opening.then(
    () => undefined,
    (error: unknown) => error,
  );
  expect(fault).toBeInstanceOf(Failure);
  return fault as Failure;
};

describe('help for a port that does not open', () => {
  let folder: string;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'lodepole-open-'));
  });
  afterAll(() => rm(folder, { recursive: true, force: true }));

  // Texts of serialport 13's binding on Linux, macOS and Windows, as seen or as in its source.
  test.each([
    ['Error: Permission denied, cannot open /dev/ttyUSB0', 'permission'],
    ['Error Resource temporarily unavailable Cannot lock port', 'busy'],
    ['Error: No such file or directory, cannot open /dev/ttyUSB0', 'missing'],
    ['Opening COM3: File not found', 'missing'],
    ['Error: Inappropriate ioctl for device, cannot open /dev/null', 'notSerial'],
    ['Error: Something else, cannot open /dev/ttyUSB0', 'other'],
  ])('%s: %s', (text, kind) => {
    expect(openFaultKind(text)).toBe(kind);
  });

  test('a missing port, from the real binding', async () => {
    const fault = await faultOf(openSerialPort(join(folder, 'nothing')));
    expect(fault.message).toContain('is not there');
    expect(fault.whatToDo).toContain('lodepole board');
    expect(fault.code).toBe(69);
  });

  test('a file that is no serial port, from the real binding', async () => {
    const path = join(folder, 'file');
    await writeFile(path, 'x');
    expect((await faultOf(openSerialPort(path))).message).toContain('is not a serial port');
  });

  test('no permission: names the group that owns the device and the exact command, never a mode for all', async () => {
    const path = join(folder, 'closed');
    await writeFile(path, 'x');
    await chmod(path, 0o060);
    const fault = await explainOpenFault(path, 'Error: Permission denied, cannot open');
    expect(fault.message).toContain(userInfo().username);
    expect(fault.whatToDo).not.toContain('chmod');
    // Files of the group root name no group that one should join.
    if ((await stat(path)).gid === 0) expect(fault.whatToDo).toContain('lodepole board');
    else expect(fault.whatToDo).toMatch(/sudo usermod -a -G \S+ \S+.*log out and in/);
  });

  test.runIf(process.getuid?.() === 0)('no permission on a device of the group dialout', async () => {
    const path = join(folder, 'dialout');
    await writeFile(path, 'x');
    const gid = Number(spawnSync('getent', ['group', 'dialout'], { encoding: 'utf8' }).stdout.split(':')[2]);
    expect(gid).toBeGreaterThan(0);
    spawnSync('chgrp', ['dialout', path]);
    const fault = await explainOpenFault(path, 'Error: Permission denied, cannot open');
    expect(fault.whatToDo).toBe(
      `Run "sudo usermod -a -G dialout ${userInfo().username}", then log out and in. "lodepole board" shows other ways.`,
    );
  });

  test.skipIf(!hasSocat)('a port in use: says who holds it', async () => {
    const farEnd = await FarEnd.create();
    await farEnd.plug();
    // Another program that holds the port open, and ourselves with the lock.
    const holder = spawn('sh', ['-c', `exec 3<${farEnd.path}; echo open; sleep 60`], {
      stdio: ['ignore', 'pipe', 'ignore'],
    });
    try {
      let isHeld = false;
      holder.stdout.on('data', () => (isHeld = true));
      await until('held', () => isHeld);
      const port = await openSerialPort(farEnd.path);
      const fault = await faultOf(openSerialPort(farEnd.path));
      expect(fault.message).toMatch(new RegExp(`is in use by .*\\(process ${holder.pid}\\)`));
      expect(fault.whatToDo).toContain('Close that program');
      await port.close();
    } finally {
      holder.kill('SIGKILL');
      await farEnd.remove();
    }
  });

  test.skipIf(!hasSocat)('closing with writes pending, twice, and writing afterwards raise nothing', async () => {
    const farEnd = await FarEnd.create();
    await farEnd.plug();
    const port = await openSerialPort(farEnd.path);
    let reported = 0;
    port.onClose(() => (reported += 1));
    farEnd.freeze();
    for (let n = 0; n < 50; n += 1) port.write('x'.repeat(4000));
    await new Promise((resolve) => setTimeout(resolve, 50));
    const start = performance.now();
    await port.close();
    port.write('hello\n');
    await port.close();
    expect(performance.now() - start).toBeLessThan(500 * patience());
    // An error without a listener would end the process here.
    await new Promise((resolve) => setTimeout(resolve, 50));
    expect(reported).toBe(0);
    await farEnd.remove();
  });

  test.skipIf(!hasSocat)('the port runs at 115200 baud, eight bits, no parity', async () => {
    const farEnd = await FarEnd.create();
    await farEnd.plug();
    const port = await openSerialPort(farEnd.path);
    const { stdout } = spawnSync('stty', ['-F', farEnd.path, '-a'], { encoding: 'utf8' });
    expect(stdout).toContain('speed 115200 baud');
    expect(stdout).toMatch(/-parenb.* cs8/s);
    await port.close();
    await farEnd.remove();
  });
});

describe('the list of ports', () => {
  test('where udevadm is missing the names of USB ports do', async () => {
    const path = process.env.PATH;
    process.env.PATH = '';
    try {
      expect(await listPorts()).toEqual(await portsByName());
    } finally {
      process.env.PATH = path;
    }
    const folder = await mkdtemp(join(tmpdir(), 'lodepole-dev-'));
    for (const name of ['ttyUSB1', 'ttyACM0', 'ttyS0', 'tty1', 'null']) await writeFile(join(folder, name), '');
    expect(await portsByName(folder)).toEqual([{ path: join(folder, 'ttyACM0') }, { path: join(folder, 'ttyUSB1') }]);
    expect(await portsByName(join(folder, 'nothing'))).toEqual([]);
    await rm(folder, { recursive: true });
  });

  test("the remembered board's adapter comes first even under another name, then its old name", () => {
    const usb = { vendorId: '1a86', productId: '7523', serialNumber: 'A1' };
    const ports = [
      { path: '/dev/ttyUSB0', usb: { ...usb, serialNumber: 'B2' } },
      { path: '/dev/ttyUSB1' },
      { path: '/dev/ttyUSB7', usb },
    ];
    const order = (remembered: Parameters<typeof inOrder>[1]): string[] =>
      inOrder(ports, remembered).map(({ path }) => path);
    expect(order({ schema: 1, boardId: '3F2A91C4', path: '/dev/ttyUSB1', usb })).toEqual([
      '/dev/ttyUSB7',
      '/dev/ttyUSB1',
      '/dev/ttyUSB0',
    ]);
    expect(order(undefined)).toEqual(ports.map(({ path }) => path));
  });
});

test('the native binding is loaded only when a port is wanted', () => {
  const script = `
    import { createRequire } from 'node:module';
    const cache = createRequire(process.cwd() + '/').cache;
    const loaded = () => Object.keys(cache).some((path) => path.includes('bindings-cpp'));
    await import('./host/link/boardLink.ts');
    const { listPorts } = await import('./host/link/ports.ts');
    const before = loaded();
    await listPorts();
    console.log(JSON.stringify({ before, after: loaded() }));
  `;
  const { stdout, stderr } = spawnSync(process.execPath, ['--import', 'tsx', '--input-type=module', '-e', script], {
    cwd: fileURLToPath(new URL('../..', import.meta.url)),
    encoding: 'utf8',
  });
  expect(JSON.parse(stdout || '{}'), stderr).toEqual({ before: false, after: true });
});
