import { defineConfig } from 'vitest/config';

/** The tests that start no program and no browser: quick enough to be run again for every mutant. */
export default defineConfig({
  test: {
    root: new URL('../..', import.meta.url).pathname,
    include: ['tests/{unit,published}/**/*.test.ts'],
    isolate: false,
    testTimeout: 60_000,
  },
});
