import { spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { have } from './tools.ts';

const source = new URL('../../firmware-proto/', import.meta.url).pathname;
const canBuild = ['avr-g++', 'arm-none-eabi-g++']
  .map((compiler) => have(compiler, 'the committed images are not compared with their sources'))
  .every(Boolean);

test.skipIf(!canBuild)('the committed images are what their sources give, to the byte, in another folder', () => {
  const folder = mkdtempSync(join(tmpdir(), 'lodepole-image-'));
  try {
    for (const name of ['board', 'build.mjs', '../package.json'])
      cpSync(join(source, name), join(folder, 'house', name), { recursive: true });
    const { status, stderr } = spawnSync(process.execPath, ['house/build.mjs', 'again'], {
      cwd: folder,
      encoding: 'utf8',
      env: { ...process.env, LC_ALL: 'de_DE.UTF-8' },
    });
    expect(status, stderr).toBe(0);
    const committed = readdirSync(join(source, 'image')).filter((name) => /\.(hex|uf2)$/.test(name));
    expect(readdirSync(join(folder, 'again'))).toEqual(committed);
    for (const name of committed) {
      const again = readFileSync(join(folder, 'again', name));
      expect(
        again.equals(readFileSync(join(source, 'image', name))),
        `image/${name} is not what the compilers make of board/: run node firmware-proto/build.mjs\n${stderr}`,
      ).toBe(true);
    }
    const [, flash, of, memory, ofMemory] =
      /nano\.hex: flash (\d+) of (\d+) bytes, memory (\d+) of (\d+)/.exec(stderr) ?? [];
    expect(readFileSync(join(source, 'README.md'), 'utf8')).toContain(
      `| ${flash} of ${of} | ${memory} of ${ofMemory} |`,
    );
    const header = 'board/src/version.h';
    expect(readFileSync(join(folder, 'house', header), 'utf8')).toBe(readFileSync(join(source, header), 'utf8'));
  } finally {
    rmSync(folder, { recursive: true });
  }
});
