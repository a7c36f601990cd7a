import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { patience } from './patience.ts';

const main = fileURLToPath(new URL('../../host/main.ts', import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'lodepole-terminal-'));
const hasTmux = spawnSync('tmux', ['-V']).status === 0;
if (!hasTmux) console.log('SKIPPED: the terminal tests need tmux (Debian package tmux).');

const tmux = (...options: string[]): string =>
  spawnSync('tmux', ['-S', join(folder, 'socket'), ...options], { encoding: 'utf8' }).stdout;
afterAll(() => {
  tmux('kill-server');
  rmSync(folder, { recursive: true });
});

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));
const screen = (name: string, colours = false): string =>
  tmux('capture-pane', '-p', ...(colours ? ['-e'] : []), '-t', name);

/** Waits until the window shows what is asked for, and returns it; fails with what it shows instead. */
async function until(name: string, shows: (text: string) => boolean, seconds: number): Promise<string> {
  const endMs = performance.now() + seconds * 1000 * patience();
  while (performance.now() < endMs) {
    const text = screen(name);
    if (shows(text)) return text;
    await pause(100);
  }
  throw new Error(`not within ${seconds} s; the window shows:\n${screen(name)}`);
}

/** Opens a window of 80x24 with a shell and starts the watch in it, so that what comes after the watch shows as well. */
function open(name: string, options: string): void {
  tmux('new-session', '-d', '-s', name, '-x', '80', '-y', '24', 'sh');
  const variables = `PS1='$ ' LANG=C.UTF-8 TERM=tmux-256color NO_COLOR= LODEPOLE_HOME=${folder}`;
  tmux(
    'send-keys',
    '-t',
    name,
    `clear; ${variables} ${process.execPath} --import tsx ${main} ${options}; echo "code $?"`,
    'Enter',
  );
}

const isNeedles = (text: string): boolean =>
  text.includes('AZIMUTH') && text.includes('STILL') && /give or take/.test(text);
const azimuthScale = (text: string): string => text.split('\n')[4];

describe.skipIf(!hasTmux)('the needles in a terminal of 80x24', () => {
  it('appear within 15 s, dim red on black, fill the window, and the arrows turn the virtual bolts', async () => {
    open('dark', '--virtual orchard --no-page');
    const picture = await until('dark', isNeedles, 15);
    expect(azimuthScale(picture)).toContain('┼');
    expect(picture).toContain('virtual board, scene orchard (invented)');
    expect(screen('dark', true)).toContain('48;5;16');

    const trueDistance = (text: string): number => Number(/simulator: ([\d.]+)/.exec(text)?.[1]);
    const before = trueDistance(picture);
    for (let i = 0; i < 8; i += 1) tmux('send-keys', '-t', 'dark', 'Right');
    await until('dark', (text) => isNeedles(text) && Math.abs(trueDistance(text) - before) > 0.2, 10);
  });

  it('the look changes at a key, the picture follows the window, q leaves with 0 and gives the screen back', async () => {
    open('looks', '--virtual woolshed --fast --no-page --look day');
    const picture = await until('looks', isNeedles, 15);
    expect(picture.split('\n')[2].indexOf('east')).toBeLessThan(picture.split('\n')[2].indexOf('west'));
    expect(screen('looks', true)).toContain('48;5;230');
    tmux('send-keys', '-t', 'looks', 'l');
    await pause(500);
    expect(screen('looks', true)).toContain('48;5;16');

    tmux('send-keys', '-t', 'looks', 'k');
    await until('looks', (text) => text.includes('one whole turn'), 5);
    for (let i = 0; i < 16; i += 1) tmux('send-keys', '-t', 'looks', 'Up');
    await pause(6000);
    tmux('send-keys', '-t', 'looks', 'a');
    await until(
      'looks',
      (text) => /One turn in altitude is \d\.\d\d°/.test(text) && /turn of a turn|turns? /.test(text),
      5,
    );

    expect(screen('looks')).toMatch(/ t lock /);
    tmux('send-keys', '-t', 'looks', 't');
    await until('looks', (text) => /press t\./.test(text), 12);
    await until('looks', (text) => /Are the bolts tight/.test(text), 12);
    tmux('send-keys', '-t', 'looks', 't');
    await until('looks', (text) => text.includes('Locking moved the axis'), 5);
    await until('looks', (text) => /Before: altitude/.test(text), 15);
    tmux('send-keys', '-t', 'looks', 'Escape');

    tmux('resize-window', '-t', 'looks', '-x', '44', '-y', '14');
    await until('looks', (text) => /^ azimuth .*, give or take \d/m.test(text) && /^ altitude /m.test(text), 5);
    tmux('resize-window', '-t', 'looks', '-x', '120', '-y', '40');
    const wide = await until('looks', isNeedles, 5);
    expect(azimuthScale(wide).trimEnd().length).toBeGreaterThan(100);

    tmux('send-keys', '-t', 'looks', 'q');
    const after = await until('looks', (text) => text.includes('code '), 5);
    expect(after).toContain('code 0');
    expect(after).not.toContain('AZIMUTH');
  });

  it('Ctrl-C ends within half a second with 130', async () => {
    open('interrupt', '--virtual orchard --fast');
    await until('interrupt', isNeedles, 15);
    const startMs = performance.now();
    tmux('send-keys', '-t', 'interrupt', 'C-c');
    const after = await until('interrupt', (text) => text.includes('code '), 5);
    const tookMs = performance.now() - startMs;
    expect(after).toContain('code 130');
    // 0.5 s for the program, the rest for tmux and the shell of a busy machine
    expect(tookMs).toBeLessThan(900 * patience());
  });

  it('NO_COLOR and a terminal without UTF-8 get plain ASCII', async () => {
    tmux('new-session', '-d', '-s', 'plain', '-x', '80', '-y', '24', 'sh');
    const variables = `NO_COLOR=1 LC_ALL=C LODEPOLE_HOME=${folder}`;
    tmux(
      'send-keys',
      '-t',
      'plain',
      `${variables} ${process.execPath} --import tsx ${main} --virtual orchard --fast --no-page`,
      'Enter',
    );
    const picture = await until('plain', isNeedles, 15);
    expect(picture).toMatch(/^[\n\u0020-\u007e]*$/);
    expect(screen('plain', true)).not.toContain('38;5');
  });
});
