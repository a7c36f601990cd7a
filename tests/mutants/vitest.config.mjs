import { readFileSync } from 'node:fs';
import { defineConfig } from 'vitest/config';
import { BaseSequencer } from 'vitest/node';
import { instrumentedFile, shortMs } from './kept.mjs';

const instrumented = new Map(Object.entries(JSON.parse(readFileSync(instrumentedFile, 'utf8'))));

/** The quickest files first: most mutants are killed before the slow ones have their turn. */
class QuickestFirst extends BaseSequencer {
  async sort(files) {
    return [...files].sort((one, other) => shortMs(one.moduleId) - shortMs(other.moduleId));
  }
}

/** Files with all their mutants in them, of which the runner makes one at a time active. */
export default defineConfig({
  plugins: [{ name: 'mutants', enforce: 'pre', load: (id) => instrumented.get(id) }],
  test: {
    root: new URL('../..', import.meta.url).pathname,
    include: ['tests/{unit,published,faults}/**/*.test.ts'],
    runner: new URL('worker.mjs', import.meta.url).pathname,
    sequence: { sequencer: QuickestFirst },
    // the serial binding bears no threads
    pool: 'forks',
    maxWorkers: 1,
    isolate: false,
    testTimeout: 120_000,
  },
});
