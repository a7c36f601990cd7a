import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));
const declaration = /^export (?:async )?(?:const|function\*?|class|interface|type|enum) (\w+)/gm;

it('nothing is exported that no other file names', () => {
  const files = ['host', 'calibration', 'firmware-proto', 'tests'].flatMap((folder) =>
    readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
      .filter((file) => /\.(?:tsx?|mjs)$/.test(file) && !/^(?:output|build)\//.test(file))
      .map((file) => {
        const text = readFileSync(join(root, folder, file), 'utf8');
        return { path: join(folder, file), text, words: new Set(text.match(/\w+/g)) };
      }),
  );
  const users = new Map<string, number>();
  for (const { words } of files) for (const word of words) users.set(word, (users.get(word) ?? 0) + 1);
  const exported = files
    .filter(({ path }) => !path.startsWith('tests'))
    .flatMap(({ path, text }) => [...text.matchAll(declaration)].map(([, name]) => ({ path, name })));
  expect(exported.length).toBeGreaterThan(500);
  expect(exported.filter(({ name }) => users.get(name) === 1)).toEqual([]);
});
