import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { bundled, fromSources } from './lodepole.ts';
import { patience, quickest } from './patience.ts';

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
async function until(name: string, shows: (text: string) => boolean, seconds = 30): Promise<string> {
  const endMs = performance.now() + seconds * 1000 * patience();
  while (performance.now() < endMs) {
    const text = screen(name);
    if (shows(text)) return text;
    await pause(100);
  }
  throw new Error(`not within ${seconds} s; the window shows:\n${screen(name)}`);
}

/** Opens a window of 80x24 with a shell and starts the watch in it, so that what comes after the watch shows as well. */
function open(name: string, options: string, entry = bundled): void {
  tmux('new-session', '-d', '-s', name, '-x', '80', '-y', '24', 'sh');
  const variables = `PS1='$ ' LANG=C.UTF-8 TERM=tmux-256color NO_COLOR= LODEPOLE_HOME=${folder}`;
  tmux('send-keys', '-t', name, `clear; ${variables} ${process.execPath} ${entry} ${options}; echo "code $?"`, 'Enter');
}

const isNeedles = (text: string): boolean =>
  text.includes('AZIMUTH') && text.includes('STILL') && /give or take/.test(text);
const trueDistance = (text: string): number => Number(/simulator: ([\d.]+)/.exec(text)?.[1]);
const azimuthScale = (text: string): string => text.split('\n')[4];

describe.skipIf(!hasTmux).concurrent('the needles in a terminal of 80x24', () => {
  it('appear within 15 s, dim red on black, fill the window, and the arrows turn the virtual bolts', async () => {
    open('dark', '--virtual orchard --no-page', fromSources);
    const picture = await until('dark', isNeedles, 15);
    expect(azimuthScale(picture)).toContain('┼');
    expect(picture).toContain('virtual board, scene orchard (invented)');
    expect(screen('dark', true)).toContain('48;5;16');

    const before = trueDistance(picture);
    for (let i = 0; i < 8; i += 1) tmux('send-keys', '-t', 'dark', 'Right');
    await until('dark', (text) => isNeedles(text) && Math.abs(trueDistance(text) - before) > 0.2);
  });

  it('the look changes at a key, the picture follows the window, q leaves with 0 and gives the screen back', async () => {
    open('looks', '--virtual woolshed --fast --no-page --look day');
    const picture = await until('looks', isNeedles);
    expect(picture.split('\n')[2].indexOf('east')).toBeLessThan(picture.split('\n')[2].indexOf('west'));
    expect(screen('looks', true)).toContain('48;5;230');
    tmux('send-keys', '-t', 'looks', 'l');
    await until('looks', () => screen('looks', true).includes('48;5;16'));

    tmux('send-keys', '-t', 'looks', '?');
    await until('looks', (text) => /Esc +back/.test(text) && !text.includes('AZIMUTH'));
    tmux('send-keys', '-t', 'looks', 'f');
    await until('looks', (text) => /^ AZIMUTH [\s\S]*█{6}[\s\S]*^ ALTITUDE /m.test(text));
    tmux('send-keys', '-t', 'looks', 'f', 's');
    await until('looks', (text) => !text.includes('ALTITUDE'));
    tmux('send-keys', '-t', 'looks', 'Escape');
    await until('looks', (text) => isNeedles(text) && text.includes('You hear the azimuth'));
    const hasRung = (): boolean => tmux('display', '-p', '-t', 'looks', '#{window_bell_flag}').trim() === '1';
    await until('looks', hasRung);

    tmux('send-keys', '-t', 'looks', 'k');
    const before = trueDistance(await until('looks', (text) => text.includes('one whole turn')));
    for (let i = 0; i < 16; i += 1) tmux('send-keys', '-t', 'looks', 'Up');
    await until('looks', (text) => text.includes('MOVING') || Math.abs(trueDistance(text) - before) > 0.1);
    tmux('send-keys', '-t', 'looks', 'a');
    await until(
      'looks',
      (text) => /One turn in altitude is \d\.\d\d°/.test(text) && /turn of a turn|turns? /.test(text),
    );

    expect(screen('looks')).toMatch(/ t lock /);
    tmux('send-keys', '-t', 'looks', 't');
    await until('looks', (text) => /press t\./.test(text));
    await until('looks', (text) => /Are the bolts tight/.test(text));
    tmux('send-keys', '-t', 'looks', 't');
    await until('looks', (text) => text.includes('Locking moved the axis'));
    await until('looks', (text) => /Before: altitude/.test(text));
    tmux('send-keys', '-t', 'looks', 'Escape');

    tmux('resize-window', '-t', 'looks', '-x', '44', '-y', '14');
    await until('looks', (text) => /^ azimuth .*, give or take \d/m.test(text) && /^ altitude /m.test(text));
    tmux('resize-window', '-t', 'looks', '-x', '120', '-y', '40');
    await until('looks', (text) => isNeedles(text) && azimuthScale(text).trimEnd().length > 100);

    tmux('send-keys', '-t', 'looks', 'q');
    const after = await until('looks', (text) => text.includes('code '));
    expect(after).toContain('code 0');
    expect(after).not.toContain('AZIMUTH');
  });

  it('Ctrl-C ends within half a second with 130', async () => {
    // 0.5 s for the program, the rest for tmux and the shell
    const limitMs = 900;
    let count = 0;
    const tookMs = await quickest(limitMs, async () => {
      count += 1;
      const name = `interrupt-${count}`;
      open(name, '--virtual orchard --fast');
      await until(name, isNeedles);
      const startMs = performance.now();
      tmux('send-keys', '-t', name, 'C-c');
      const after = await until(name, (text) => text.includes('code '));
      expect(after).toContain('code 130');
      return performance.now() - startMs;
    });
    expect(tookMs).toBeLessThan(limitMs);
  });

  it('NO_COLOR and a terminal without UTF-8 get plain ASCII', async () => {
    tmux('new-session', '-d', '-s', 'plain', '-x', '80', '-y', '24', 'sh');
    const variables = `NO_COLOR=1 LC_ALL=C LODEPOLE_HOME=${folder}`;
    tmux(
      'send-keys',
      '-t',
      'plain',
      `${variables} ${process.execPath} ${bundled} --virtual orchard --fast --no-page`,
      'Enter',
    );
    const picture = await until('plain', isNeedles);
    expect(picture).toMatch(/^[\n\u0020-\u007e]*$/);
    expect(screen('plain', true)).not.toContain('38;5');
  });
});
