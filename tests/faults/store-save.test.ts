import { chmod, mkdir, mkdtemp, readdir, readFile, rm, utimes, writeFile } from 'node:fs/promises';
import { existsSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { Failure } from '../../host/failure.ts';
import { changeJsonFile, readJsonFile, saveJsonFile, saveNamedFile } from '../../host/store/jsonFile.ts';

const schema = z.object({ turns: z.number().optional(), way: z.number().optional() });
let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lodepole-store-'));
  process.env.LODEPOLE_HOME = folder;
});
afterEach(async () => {
  delete process.env.LODEPOLE_HOME;
  await chmod(folder, 0o700);
  await rm(folder, { recursive: true });
});

describe('what is kept', () => {
  it('is saved with the file it replaces beside it', async () => {
    const path = join(folder, 'two', 'deep', 'knob.json');
    await saveJsonFile(path, schema, { turns: 1 });
    await saveJsonFile(path, schema, { turns: 2 });
    expect(await readJsonFile(path, schema)).toEqual({ turns: 2 });
    expect(JSON.parse(await readFile(`${path}.old`, 'utf8'))).toEqual({ turns: 1 });
  });

  it('is refused with what and where when it does not fit, and left as it is', async () => {
    const path = join(folder, 'knob.json');
    for (const text of ['{"turns": 1', '{"turns": "many"}']) {
      await writeFile(path, text);
      await expect(readJsonFile(path, schema)).rejects.toThrow(path);
      expect(await readFile(path, 'utf8')).toBe(text);
    }
    expect(await readJsonFile(join(folder, 'none.json'), schema)).toBeUndefined();
  });

  it('says what to do when the folder cannot be made or a file stands in its way', async () => {
    await writeFile(join(folder, 'file'), 'x');
    for (const path of [
      join(folder, 'file', 'knob.json'),
      ...(existsSync('/proc/self') ? ['/proc/nope/knob.json'] : []),
    ]) {
      const failure = await saveJsonFile(path, schema, { turns: 1 }).catch((error: unknown) => error);
      expect(failure).toBeInstanceOf(Failure);
      expect((failure as Failure).message).toContain(path);
      expect((failure as Failure).whatToDo).toContain('LODEPOLE_HOME');
    }
  });

  it('never replaces a good old copy by a damaged file, which is kept as well', async () => {
    const path = join(folder, 'knob.json');
    await saveJsonFile(path, schema, { turns: 1 });
    await saveJsonFile(path, schema, { turns: 2 });
    for (const damaged of ['{"turns": 3', '{"turns": "many"}', '']) {
      await writeFile(path, damaged);
      await saveJsonFile(path, schema, { turns: 4 });
      expect(JSON.parse(await readFile(`${path}.old`, 'utf8'))).toEqual({ turns: 1 });
      expect(await readFile(`${path}.damaged`, 'utf8')).toBe(damaged);
      expect(await readJsonFile(path, schema)).toEqual({ turns: 4 });
    }
    const named = join(folder, 'named.json');
    await writeFile(named, '{"schema": 1, "ki');
    await writeFile(`${named}.old`, 'good');
    await saveNamedFile(named, { schema: 1, kind: 'calibration' });
    expect(await readFile(`${named}.old`, 'utf8')).toBe('good');
  });

  it('of a newer version is said to be so and left alone', async () => {
    const path = join(folder, 'knob.json');
    const newer = '{"schema": 2, "turns": 1}';
    await writeFile(path, newer);
    for (const work of [
      () => readJsonFile(path, schema),
      () => saveJsonFile(path, schema, { turns: 3 }),
      () => saveNamedFile(path, { schema: 1, kind: 'calibration' }),
    ]) {
      await expect(work()).rejects.toMatchObject({
        code: 65,
        message: `A newer version of this program saved ${path} (schema 2). It is left alone.`,
      });
    }
    expect(await readFile(path, 'utf8')).toBe(newer);
    expect(await readdir(folder)).toEqual(['knob.json']);
  });

  it('loses nothing of what others save at the same time', async () => {
    const path = join(folder, 'knob.json');
    await Promise.all([
      changeJsonFile(path, schema, (kept) => ({ ...kept, turns: 5 })),
      changeJsonFile(path, schema, (kept) => ({ ...kept, way: 7 })),
    ]);
    expect(await readJsonFile(path, schema)).toEqual({ turns: 5, way: 7 });
  });

  it('is swept of what killed programs wrote aside, but not of files of others', async () => {
    const named = join(folder, 'cal.json');
    const asides = ['knob.json.123456789', 'site.json.old.42', 'cal.json.1234567'];
    const others = ['knob.json.old', 'cal.json.1', 'notes.1234567'];
    for (const name of [...asides, ...others]) await writeFile(join(folder, name), 'x');
    await saveJsonFile(join(folder, 'sub', 'knob.json'), schema, { turns: 1 });
    expect(await readdir(folder)).toEqual(expect.arrayContaining(asides));
    // beside a file that the person named somebody may be saving just now
    await saveNamedFile(named, { schema: 1, kind: 'calibration' });
    expect(await readdir(folder)).toContain('cal.json.1234567');
    await utimes(join(folder, 'cal.json.1234567'), 1, 1);
    await saveNamedFile(named, { schema: 1, kind: 'calibration' });
    expect(await readdir(folder)).not.toContain('cal.json.1234567');
    expect(await readdir(folder)).toEqual(expect.arrayContaining(others));
    process.env.LODEPOLE_HOME = join(folder, 'home');
    await mkdir(join(folder, 'home'));
    for (const name of asides) await writeFile(join(folder, 'home', name), 'x');
    await saveJsonFile(join(folder, 'home', 'knob.json'), schema, { turns: 1 });
    expect(await readdir(join(folder, 'home'))).toEqual(['knob.json']);
  });

  it('takes over the lock of a killed program soon, also where the clock was put back since', async () => {
    const path = join(folder, 'knob.json');
    for (const agoS of [3, -10 * 365 * 86_400]) {
      await mkdir(join(folder, 'kept.lock'));
      const then = Date.now() / 1000 - agoS;
      await utimes(join(folder, 'kept.lock'), then, then);
      const sinceMs = performance.now();
      await saveJsonFile(path, schema, { turns: agoS });
      expect(performance.now() - sinceMs).toBeLessThan(1500);
      expect(await readdir(folder)).not.toContain('kept.lock');
    }
  });
});
