import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.ts'],
    globalSetup: ['tests/program.ts'],
    testTimeout: 60_000,
    // what is polled for comes at once on a machine with room
    expect: { poll: { timeout: 20_000 } },
    // one more than the least machine has cores, for half of the time is waiting
    maxWorkers: 3,
    passWithNoTests: false,
  },
});
