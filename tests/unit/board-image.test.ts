import { spawnSync } from 'node:child_process';
import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { have } from './tools.ts';

const source = new URL('../../firmware-proto/', import.meta.url).pathname;
const core = '/usr/share/arduino/hardware/arduino/avr/cores/arduino/Arduino.h';
const canBuild = have('avr-g++', 'the committed image is not compared with its sources') && existsSync(core);
if (!canBuild) console.warn(`SKIPPED: ${core} or avr-g++ is missing, the committed image is not built again`);

test.skipIf(!canBuild)('the committed image is what its sources give, to the byte, in another folder', () => {
  const folder = mkdtempSync(join(tmpdir(), 'lodepole-image-'));
  try {
    cpSync(join(source, 'board'), join(folder, 'board'), { recursive: true });
    cpSync(join(source, 'build.mjs'), join(folder, 'build.mjs'));
    const { status, stderr } = spawnSync(process.execPath, ['build.mjs', 'again.hex'], {
      cwd: folder,
      encoding: 'utf8',
      env: { ...process.env, LC_ALL: 'de_DE.UTF-8' },
    });
    expect(status, stderr).toBe(0);
    const compiler = spawnSync('avr-gcc', ['-dumpversion'], { encoding: 'utf8' }).stdout.trim();
    const [again, committed] = [join(folder, 'again.hex'), join(source, 'image/lodepole-nano.hex')].map((path) =>
      readFileSync(path, 'latin1'),
    );
    expect(
      again === committed,
      `image/lodepole-nano.hex is not what avr-gcc ${compiler} makes of board/: run node firmware-proto/build.mjs`,
    ).toBe(true);
  } finally {
    rmSync(folder, { recursive: true });
  }
});
