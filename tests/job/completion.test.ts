import { execFileSync } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { run } from './lodepole.ts';

let home: string;
beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-'));
});
afterAll(() => rm(home, { recursive: true, force: true }));

/** What a shell is offered after these words, without the descriptions and the last line, which steers the shell. */
async function offered(...words: string[]): Promise<string[]> {
  const { code, stdout, stderr } = await run(home, ['complete', '--', ...words]);
  expect(code).toBe(0);
  expect(stderr).toBe('');
  const lines = stdout.trimEnd().split('\n');
  expect(lines.pop()).toMatch(/^:\d+$/);
  return lines.map((line) => line.split('\t')[0]);
}

it('offers commands, options, scenes and stars', async () => {
  expect(await offered('si')).toEqual(expect.arrayContaining(['site', 'sight', 'side']));
  expect(await offered('balance', '--weights-')).toEqual(['--weights-without', '--weights-with']);
  expect(await offered('sight', '--virtual', '')).toEqual(['orchard', 'woolshed']);
  expect(await offered('side', '--star', 'Al')).toEqual(expect.arrayContaining(['Altair', 'Aldebaran']));
});

it('writes a script for each shell, which bash reads without complaint, and refuses another', async () => {
  for (const shell of ['bash', 'zsh', 'fish']) {
    const { code, stdout, stderr } = await run(home, ['completion', shell]);
    expect([code, stderr]).toEqual([0, '']);
    expect(stdout).toContain('lodepole complete --');
    if (shell !== 'bash') continue;
    const script = join(home, 'script.bash');
    await writeFile(script, stdout);
    execFileSync('bash', ['-n', script]);
  }
  expect((await run(home, ['completion', 'csh'])).code).toBe(64);
});
