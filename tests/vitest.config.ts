import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.ts'],
    globalSetup: ['tests/program.ts'],
    // far above what anything takes: on a busy machine a test may be slow, and each says itself what it waits for
    testTimeout: 180_000,
    hookTimeout: 60_000,
    expect: { poll: { timeout: 20_000 } },
    // one more than the least machine has cores, for half of the time is waiting
    maxWorkers: 3,
    passWithNoTests: false,
  },
});
