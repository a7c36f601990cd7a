import { execFile, spawn } from 'node:child_process';
import { mkdir, mkdtemp, readFile, readdir, rm, symlink } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { endOf } from './lodepole.ts';
import { patience } from './patience.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));
const exec = promisify(execFile);

interface Lock {
  packages: Record<string, { dev?: boolean; devOptional?: boolean; optional?: boolean }>;
}

/** Puts the packed program where npm would, and beside it those packages alone that an installation brings: no network is asked. */
async function install(into: string): Promise<string> {
  await exec('npm', ['pack', '--pack-destination', into], { cwd: root });
  const [tarball] = (await readdir(into)).filter((name) => name.endsWith('.tgz'));
  const modules = join(into, 'node_modules');
  await mkdir(join(modules, 'lodepole'), { recursive: true });
  await exec('tar', ['-xzf', join(into, tarball), '--strip-components=1', '-C', join(modules, 'lodepole')]);
  const { packages } = JSON.parse(await readFile(join(root, 'package-lock.json'), 'utf8')) as Lock;
  for (const [path, { dev, devOptional }] of Object.entries(packages)) {
    const name = /^node_modules\/((?:@[^/]+\/)?[^/]+)$/.exec(path)?.[1];
    if (name === undefined || dev || devOptional) continue;
    await mkdir(dirname(join(modules, name)), { recursive: true });
    await symlink(join(root, path), join(modules, name));
  }
  return join(modules, 'lodepole/host/lodepole.mjs');
}

describe('the packed program', () => {
  let folder: string;
  let program: string;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'lodepole-packed-'));
    program = await install(folder);
  }, 120_000);
  afterAll(() => rm(folder, { recursive: true }));

  const start = (...words: string[]) =>
    spawn(process.execPath, [program, ...words], { cwd: folder, env: { ...process.env, LODEPOLE_HOME: folder } });

  it('has neither the bundler nor what runs sources, and the checkout is left without a build', async () => {
    const beside = await readdir(join(folder, 'node_modules'));
    expect(beside).toContain('fastify');
    for (const tool of ['esbuild', 'tsx', 'typescript']) expect(beside).not.toContain(tool);
    expect(await readdir(root)).not.toContain('built');
  });

  it('shows needles, on the processor that runs the real firmware', async () => {
    const { code, stdout, stderr } = await endOf(start('--json', '--seconds', '3', '--virtual', 'woolshed'));
    expect({ code, stderr }).toMatchObject({ code: 0 });
    const lines = stdout.trimEnd().split('\n');
    expect(lines.length).toBeGreaterThan(20 / patience());
    expect(JSON.parse(lines.at(-1)!)).toMatchObject({
      schema: 1,
      kind: 'needles',
      source: expect.stringContaining('woolshed') as string,
    });
  });

  it('finds its stars, places, version and steps', async () => {
    const { version } = JSON.parse(await readFile(join(root, 'package.json'), 'utf8')) as { version: string };
    expect((await endOf(start('--version'))).stdout.trim()).toBe(version);
    const sky = await endOf(start('sky', '--star', 'vega', '--place', 'Abidjan', '--json'));
    expect({ code: sky.code, stderr: sky.stderr }).toMatchObject({ code: 0 });
  });

  it('serves its page with the scripts built', async () => {
    const child = start('--virtual', 'orchard', '--fast', '--seconds', '30', '--page-port', '0');
    const ended = endOf(child);
    const url = await new Promise<string>((resolve) => {
      child.stderr.on('data', (bytes: Buffer) => {
        const found = /Page: (http\S+)/.exec(bytes.toString())?.[1];
        if (found) resolve(found);
      });
    });
    for (const [path, has] of [
      ['/', '<!doctype html>'],
      ['/main.js', 'EventSource'],
      ['/pair.js', '/api/pair'],
      ['/page.css', 'body'],
      ['/keepOffline.js', 'caches'],
    ]) {
      const answer = await fetch(new URL(path, url));
      expect({ path, status: answer.status }).toEqual({ path, status: 200 });
      expect(await answer.text()).toContain(has);
    }
    child.kill('SIGINT');
    await ended;
  });
});
