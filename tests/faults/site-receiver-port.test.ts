import { spawn, spawnSync } from 'node:child_process';
import { existsSync, readdirSync, readlinkSync, realpathSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { exitCode } from '../../host/failure.ts';
import { fixFromPort } from '../../host/link/gps.ts';
import { until } from './link-farEnd.ts';

const hasSocat = spawnSync('socat', ['-V']).status === 0;
if (!hasSocat) console.log('SKIPPED: the receiver behind a pseudo-terminal needs socat (Debian package socat).');

// The two sample sentences found in most descriptions of NMEA 0183 (from memory; their checksums vouch for them).
const gga = '$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n';
const rmc = '$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\r\n';

/** Whether this very process holds the terminal open (Linux). */
const isOpenHere = (path: string): boolean =>
  readdirSync('/proc/self/fd').some((number) => {
    try {
      return readlinkSync(`/proc/self/fd/${number}`) === realpathSync(path);
    } catch {
      return false;
    }
  });

describe.skipIf(!hasSocat)('a receiver behind a pseudo-terminal', () => {
  const endings: (() => Promise<void>)[] = [];
  afterEach(async () => {
    for (const end of endings.splice(0)) await end();
  });

  /** Sends `text` again and again; returns the port's path and what pulls it. */
  async function receiver(text: string): Promise<{ path: string; pull: () => void }> {
    const folder = await mkdtemp(join(tmpdir(), 'lodepole-receiver-'));
    const path = join(folder, 'receiver');
    const socat = spawn('socat', [`PTY,link=${path},raw,echo=0`, 'STDIO'], { stdio: ['pipe', 'ignore', 'ignore'] });
    socat.stdin.on('error', () => {});
    const timer = setInterval(() => socat.stdin.write(text), 100);
    endings.push(async () => {
      clearInterval(timer);
      socat.kill('SIGKILL');
      await rm(folder, { recursive: true, force: true });
    });
    await until('a pseudo-terminal', () => existsSync(path));
    return { path, pull: () => socat.kill('SIGKILL') };
  }

  it('gives position, elevation and time, and the port is free again', async () => {
    const { path } = await receiver(`noise\xff\r\n${rmc}${gga}`);
    for (let time = 0; time < 2; time += 1) {
      const fix = await fixFromPort(path);
      expect(fix.latitudeRad / degree).toBeCloseTo(48 + 7.038 / 60, 9);
      expect(fix.longitudeRad / degree).toBeCloseTo(11 + 31 / 60, 9);
      expect(fix.elevationM).toBeCloseTo(545.4 + 46.9, 9);
      expect(fix.utc?.toISOString()).toBe('1994-03-23T12:35:19.000Z');
    }
  });

  it('that says nothing of use is given up in time, and what came is counted', async () => {
    const { path } = await receiver(gga.replace('4807', '4808'));
    await expect(fixFromPort(path, 2)).rejects.toMatchObject({
      code: exitCode.badData,
      message: expect.stringMatching(/within 2 s \(\d+ bad checksum\)/),
    });
  });

  it('that is pulled out is told, whether the binding notices or not', async () => {
    const { path, pull } = await receiver('$');
    const fix = fixFromPort(path);
    const isPulled = until('the open port', () => isOpenHere(path)).then(() => setTimeout(pull, 500));
    await expect(fix).rejects.toMatchObject({
      code: exitCode.inputOutput,
      message: expect.stringMatching(/went away/),
    });
    await isPulled;
  });
});

it('a receiver that is not there is told with what to do', async () => {
  await expect(fixFromPort('/dev/lodepole-is-not-here')).rejects.toMatchObject({
    code: exitCode.noBoard,
    message: expect.stringMatching(/is not there/),
  });
});
