import { chmod, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { existsSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { Failure } from '../../host/failure.ts';
import { readJsonFile, saveJsonFile } from '../../host/store/jsonFile.ts';

const schema = z.object({ turns: z.number() });
let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lodepole-store-'));
});
afterEach(async () => {
  await chmod(folder, 0o700);
  await rm(folder, { recursive: true });
});

describe('what is kept', () => {
  it('is saved with the file it replaces beside it', async () => {
    const path = join(folder, 'two', 'deep', 'knob.json');
    await saveJsonFile(path, { turns: 1 });
    await saveJsonFile(path, { turns: 2 });
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
      const failure = await saveJsonFile(path, { turns: 1 }).catch((error: unknown) => error);
      expect(failure).toBeInstanceOf(Failure);
      expect((failure as Failure).message).toContain(path);
      expect((failure as Failure).whatToDo).toContain('LODEPOLE_HOME');
    }
  });
});
