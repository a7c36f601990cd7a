import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { dirname, join, normalize } from 'node:path';
import { describe, expect, it } from 'vitest';

interface Packed {
  size: number;
  files: { path: string }[];
}

const { stdout } = spawnSync('npm', ['pack', '--dry-run', '--json', '--ignore-scripts'], { encoding: 'utf8' });
const [{ size, files }] = JSON.parse(stdout) as [Packed];
const paths = files.map(({ path }) => path);
const isThere = (path: string): boolean => paths.some((one) => one === path || one.startsWith(`${path}/`));

/** Targets of the links of a Markdown file that lead into the package. */
const linksOf = (path: string): string[] =>
  [...readFileSync(path, 'utf8').matchAll(/\]\(([^)\s]+)\)/g)]
    .map(([, target]) => target.replace(/#.*$/, ''))
    .filter((target) => target !== '' && !/^[a-z]+:/.test(target))
    .map((target) => normalize(join(dirname(path), target)));

describe('the npm package', () => {
  it('holds every file that README links to', () => {
    const links = linksOf('README.md');
    expect(links).toContain('LICENSE');
    expect(links.length).toBeGreaterThan(3);
    expect(links.filter((link) => !isThere(link))).toEqual([]);
  });

  it('leaves the pictures of the page and the tests at home', () => {
    expect(paths.filter((path) => path.startsWith('host/web/pictures'))).toEqual([]);
    expect(paths.filter((path) => path.startsWith('tests/'))).toEqual([]);
    expect(size).toBeLessThan(1_000_000);
  });

  it('brings its own licence and that of what the images contain', () => {
    expect(isThere('LICENSE')).toBe(true);
    expect(isThere('firmware-proto/image/licences/avr-libc.txt')).toBe(true);
    // The three conditions of the modified BSD licence: the list of conditions goes with the binary.
    const licence = readFileSync('firmware-proto/image/licences/avr-libc.txt', 'utf8');
    for (const words of [
      'Redistributions in binary form must reproduce',
      'endorse or promote',
      'PROVIDED BY THE COPYRIGHT HOLDERS',
    ])
      expect(licence).toContain(words);
    expect(isThere('firmware-proto/image/licences/newlib.txt')).toBe(true);
    const newlib = readFileSync('firmware-proto/image/licences/newlib.txt', 'utf8');
    for (const words of [
      '(1) University of California, Berkeley',
      'Redistributions in binary form must reproduce',
      'Red Hat',
    ])
      expect(newlib).toContain(words);
  });
});
