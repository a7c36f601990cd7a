import { spawn } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { endOf } from '../job/lodepole.ts';

const installer = fileURLToPath(new URL('../../host/install.mjs', import.meta.url));
const isWindows = process.platform === 'win32';

/** In the place of npm: notes what it is asked, takes a while, and says so when another is at work. */
const npm = `#!/bin/sh
if ! mkdir busy 2>/dev/null; then echo "two at once" >> asked; exit 1; fi
echo "$1 $2" >> asked
sleep 0.5
if [ "$1" = ci ]; then rm -rf node_modules; fi
mkdir -p node_modules/one
cp package-lock.json node_modules/.package-lock.json
rmdir busy
`;

describe.skipIf(isWindows)('installing the dependencies', () => {
  let folder: string;
  const at = (name: string): string => join(folder, name);
  const asked = (): string[] => readFileSync(at('asked'), 'utf8').trimEnd().split('\n');
  const lockWith = (version: string): string =>
    JSON.stringify({
      packages: { '': {}, 'node_modules/one': { version }, 'node_modules/tool': { version, dev: true } },
    });
  const fetching = (): ReturnType<typeof endOf> =>
    endOf(
      spawn(
        process.execPath,
        [
          '--input-type=module',
          '-e',
          `import { fetchDependencies } from ${JSON.stringify(installer)}; fetchDependencies(${JSON.stringify(`${folder}/`)});`,
        ],
        { env: { ...process.env, PATH: `${at('bin')}${delimiter}${process.env.PATH ?? ''}` } },
      ),
    );

  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'lodepole-install-'));
    mkdirSync(at('bin'));
    writeFileSync(at('bin/npm'), npm, { mode: 0o755 });
    writeFileSync(at('package-lock.json'), lockWith('1.0.0'));
  });
  afterEach(() => rmSync(folder, { recursive: true }));

  it('is done once by programs that start at the same time', async () => {
    const ran = await Promise.all([fetching(), fetching(), fetching()]);
    expect(ran.map(({ code }) => code)).toEqual([0, 0, 0]);
    expect(asked()).toEqual(['ci --loglevel=error']);
    expect(ran.filter(({ stderr }) => stderr.includes('Waiting for it'))).not.toHaveLength(0);
    expect(existsSync(at('node_modules.lock'))).toBe(false);
    await fetching();
    expect(asked()).toHaveLength(1);
  });

  it('leaves what is there in its place when something is missing, so that a program that runs from it goes on', async () => {
    await fetching();
    writeFileSync(at('node_modules/one/loaded.js'), '');
    writeFileSync(at('package-lock.json'), lockWith('1.0.1'));
    expect((await fetching()).code).toBe(0);
    expect(asked()).toEqual(['ci --loglevel=error', 'install --no-save']);
    expect(existsSync(at('node_modules/one/loaded.js'))).toBe(true);
  });

  it('goes on after an installer that was killed, whether it had said who it is or not', async () => {
    const { pid } = spawn(process.execPath, ['-e', '']);
    await new Promise((done) => setTimeout(done, 500));
    for (const owner of [String(pid), undefined]) {
      rmSync(at('node_modules'), { recursive: true, force: true });
      mkdirSync(at('node_modules.lock'));
      if (owner !== undefined) writeFileSync(at('node_modules.lock/process'), owner);
      else utimesSync(at('node_modules.lock'), 1, 1);
      expect((await fetching()).code).toBe(0);
      expect(existsSync(at('node_modules.lock'))).toBe(false);
    }
    expect(asked()).not.toContain('two at once');
  });

  it('ends with what to do when npm fails, and holds nobody up', async () => {
    writeFileSync(at('bin/npm'), '#!/bin/sh\nexit 1\n');
    const { code, stderr } = await fetching();
    expect({ code, stderr }).toMatchObject({ code: 74, stderr: expect.stringContaining('try again') as string });
    expect(existsSync(at('node_modules.lock'))).toBe(false);
  });
});
