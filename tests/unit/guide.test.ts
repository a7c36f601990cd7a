import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { withFigures } from '../bench/keepFigures.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const roomsOf = (folder: string): string[] =>
  readdirSync(join(root, folder), { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map(({ name }) => `${folder}/${name}`);
const pages = [
  'README.md',
  'DEVELOPERS.md',
  ...['host', 'calibration', 'firmware-proto', ...roomsOf('host')].map((room) => `${room}/README.md`),
  ...roomsOf('calibration').map((room) => `${room}/README.md`),
  ...['board', 'virtual', 'wire', 'image'].map((room) => `firmware-proto/${room}/README.md`),
];

describe('the guide for newcomers', () => {
  it.each(pages)('%s stands, and every file that it links to', (page) => {
    const text = readFileSync(join(root, page), 'utf8');
    const links = [...text.matchAll(/\]\((?!https?:)([^)#]+)\)/g)].map(([, link]) => link!);
    const missing = links.filter((link) => !existsSync(join(root, dirname(page), link)));
    expect(missing).toEqual([]);
  });

  it('is a page a room, and the developers’ one stays short', () => {
    expect(statSync(join(root, 'DEVELOPERS.md')).size).toBeLessThan(8000);
    const rooms = pages.filter((page) => /^(host|calibration)\//.test(page));
    const long = rooms.filter((page) => readFileSync(join(root, page), 'utf8').split('\n').length > 60);
    expect(long).toEqual([]);
  });

  it('names as central only types that exist', () => {
    const sources = ['host', 'calibration', 'firmware-proto'].flatMap((folder) =>
      readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
        .filter((file) => file.endsWith('.ts'))
        .map((file) => readFileSync(join(root, folder, file), 'utf8')),
    );
    const defined = new Set(
      sources.flatMap((text) =>
        [...text.matchAll(/^(?:export )?(?:interface|class|type) (\w+)/gm)].map(([, name]) => name!),
      ),
    );
    const named = pages.flatMap((page) => {
      const [, central = ''] =
        /\*\*Central types\.\*\*((?:.|\n(?!\n))*)/.exec(readFileSync(join(root, page), 'utf8')) ?? [];
      return [...central.matchAll(/`([A-Z]\w*)(?:<[^`]*)?`/g)].map(([, name]) => name!);
    });
    expect(named.length).toBeGreaterThan(20);
    expect(named.filter((name) => !defined.has(name))).toEqual([]);
  });

  it('names only files that exist in the walk of a sample', () => {
    const text = readFileSync(join(root, 'DEVELOPERS.md'), 'utf8');
    const walk = text.slice(text.indexOf('## The walk'), text.indexOf('## Conventions'));
    const files = [...walk.matchAll(/`([\w/-]+\.ts)`/g)].map(([, file]) => file!);
    expect(files.length).toBeGreaterThan(8);
    expect(files.filter((file) => !existsSync(join(root, file)))).toEqual([]);
  });

  it('keeps the figures of a bench in the place of its older ones, the others untouched', () => {
    const first = withFigures('', 'swing', 'a 1\n', 'Monday.');
    const both = withFigures(first, 'link', 'b 2\n', 'Tuesday.');
    const again = withFigures(both, 'swing', '\u001b[33mc 3\u001b[39m\n', 'Wednesday.');
    expect(again).toContain('## link\n\nTuesday.\n\n```\nb 2\n```');
    expect(again).toContain('## swing\n\nWednesday.\n\n```\nc 3\n```');
    expect(again).not.toContain('Monday');
    expect(again.match(/^## /gm)).toHaveLength(2);
  });
});
