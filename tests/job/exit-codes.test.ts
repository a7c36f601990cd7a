import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdtemp, mkdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { runHere } from './inProcess.ts';
import { bundled, endOf, start, type Ran } from './lodepole.ts';

const place = ['--lat', '47.2', '--lon', '11.4'];
const hasFull = existsSync('/dev/full');
if (!hasFull) console.log('SKIPPED: a full disk needs /dev/full');
const bash = ['/bin/bash', '/usr/bin/bash'].find((path) => existsSync(path));
if (bash === undefined) console.log('SKIPPED: a file that may not grow needs bash');

/** Words of the command; FILE, HOME and the like are filled in. */
type Row = [code: number, what: string, words: string[], says?: RegExp];

const rows: Row[] = [
  [0, 'a site', ['site', ...place, '--json']],
  [0, 'a night without entries', ['night']],
  [0, 'help of a command', ['drift', '--help']],
  [1, 'a tumble that covers too little', ['tumble', '--from', 'POOR', '--json'], /^$/],
  [1, 'a nudge without an answer', ['nudge', '--star', 'vega', ...place], /no answer for tonight.*\n.*lodepole sight/],
  [64, 'a command that is none', ['sihgt'], /no command "sihgt".*\nDid you mean sight/],
  [64, 'an option that is none', ['drift', '--frm', 'x'], /unknown option '--frm'[\s\S]*lodepole drift --help/],
  [64, 'an option without its value', ['sky', '--star'], /lodepole sky --help/],
  [64, 'a number that is none', ['watch', '--seconds', 'soon'], /Give a number[\s\S]*lodepole watch --help/],
  [64, 'a port and a virtual board', ['watch', '--port', 'NONE', '--virtual', 'orchard', '--json'], /not both/],
  [64, 'the same for a step', ['tumble', '--port', 'NONE', '--virtual', 'orchard'], /not both/],
  [64, 'a deviation with no site to keep it', ['standoff', '--keep'], /no site is saved.*\n.*lodepole site/],
  [64, 'a deviation of a scene', ['standoff', '--keep', '--virtual', 'orchard'], /Leave out --keep/],
  [64, 'a live shadow at another time', ['sight', '--sun', '--shadow', '9', '--at', '2026-12-01T12:00Z'], /--at/],
  [65, 'a file of other columns', ['drift', '--from', 'TORN', ...place], /line 2: not as many columns/],
  [65, 'a damaged site', ['night', 'HOME=damaged'], /site\.json is damaged.*\n.*Repair the file/],
  [65, 'a site of a newer version', ['night', 'HOME=newer'], /newer version.*left alone.*\n.*Update/],
  [69, 'a port that is not there', ['board', '--port', 'NONE'], /is not there/],
  [69, 'no board for a step', ['tumble'], /No board answered/],
  [74, 'a file that is not there', ['tumble', '--from', 'NONE'], /There is no file/],
  [74, 'a folder in the place of a file', ['tumble', '--from', 'FOLDER'], /is not a file/],
  [74, 'a folder that is a file', ['night', '--html', 'TORN/night.html'], /no such folder/],
  [
    74,
    'a store that cannot be made',
    ['site', ...place, '--save', 'HOME=torn.csv'],
    /no such folder.*\n.*LODEPOLE_HOME/,
  ],
];
if (hasFull) rows.push([74, 'a full disk', ['night', '--html', '/dev/full'], /the disk is full/]);

describe('exit codes', () => {
  let folder: string;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'lodepole-codes-'));
    await writeFile(join(folder, 'torn.csv'), 'star,utc,north\nVega,2026-12-01T05:00Z\n');
    const rest = Array.from({ length: 300 }, (_, i) => `${i / 50},0,0,1,20,0,-40`);
    await writeFile(join(folder, 'poor.csv'), `t_s,ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut\n${rest.join('\n')}\n`);
    for (const [home, site] of Object.entries({ damaged: '{"schema": 1, "lat', newer: '{"schema": 2}' })) {
      await mkdir(join(folder, home));
      await writeFile(join(folder, home, 'site.json'), site);
    }
  });
  afterAll(() => rm(folder, { recursive: true }));

  it.each(rows)('%i: %s', async (code, _, words, says) => {
    const places = { POOR: 'poor.csv', TORN: 'torn.csv', NONE: 'none', FOLDER: '.' };
    const home = words.find((word) => word.startsWith('HOME='))?.slice(5) ?? 'home';
    const filled = words
      .filter((word) => !word.startsWith('HOME='))
      .map((word) =>
        word.replace(/^(POOR|TORN|NONE|FOLDER)/, (name) => join(folder, places[name as keyof typeof places])),
      );
    const { code: was, stderr } = await runHere(join(folder, home), filled);
    expect({ was, stderr }).toMatchObject({ was: code });
    if (says) expect(stderr).toMatch(says);
    // no inner names of the system, of a parser or of the program
    expect(stderr).not.toMatch(/\bE(?!ND)[A-Z]{4,}\b|Error:|\bat .*:\d+:\d+|undefined|NaN|✖|JSON\.parse|position \d/);
  });

  it('130: interrupted', async () => {
    const child = start(join(folder, 'home'), ['--virtual', 'orchard', '--fast', '--json', '--no-page']);
    const ended = endOf(child);
    child.stdout.once('data', () => child.kill('SIGINT'));
    expect((await ended).code).toBe(130);
  });

  const inBash = (script: string, words: readonly string[]): Promise<Ran> =>
    endOf(
      spawn(bash!, ['-c', script, process.execPath, bundled, ...words], {
        env: { ...process.env, LODEPOLE_HOME: join(folder, 'home') },
      }),
    );

  it
    .skipIf(!hasFull || bash === undefined)
    .each([
      { words: ['site', ...place, '--json'] },
      { words: ['--virtual', 'orchard', '--fast', '--json', '--no-page', '--seconds', '60'] },
    ])('74: results that find no room, from $words.0', async ({ words }) => {
    const { code, stderr } = await inBash('exec "$0" "$@" > /dev/full', words);
    expect({ code, stderr }).toMatchObject({ code: 74, stderr: expect.stringContaining('the disk is full') as string });
  });

  it.skipIf(bash === undefined)('74: a recording that is cut off, after the needles went on to the end', async () => {
    const words = ['--virtual', 'orchard', '--fast', '--json', '--no-page', '--seconds', '3', '--record'];
    const path = join(folder, 'night.capture');
    const limited = await inBash('ulimit -f 8; exec "$0" "$@"', [...words, path]);
    expect(limited.stderr).toMatch(/recording stopped \(the file is too large\).*needles go on/);
    expect(limited.stderr).toMatch(/is cut off/);
    expect(limited.code).toBe(74);
    expect(limited.stdout.trimEnd().split('\n').length).toBeGreaterThan(20);
  });
});
