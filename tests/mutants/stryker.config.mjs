// Mutation tests: `npm run mutants -- FOLDER`. Each mutant meets only the tests that run through its line.
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** @type {import('@stryker-mutator/api/core').PartialStrykerOptions} */
export default {
  testRunner: 'vitest',
  plugins: ['@stryker-mutator/vitest-runner'],
  vitest: { configFile: 'tests/mutants/vitest.stryker.config.ts', related: true },
  // words and messages are held by reading them, not by a test for each letter
  mutator: { excludedMutations: ['StringLiteral'] },
  coverageAnalysis: 'perTest',
  // a constant at the head of a file would need every test again: these are left out, and counted as left out
  ignoreStatic: true,
  concurrency: 2,
  timeoutMS: 20_000,
  reporters: ['clear-text', 'json'],
  clearTextReporter: { logTests: false, reportTests: false, allowColor: false },
  jsonReporter: { fileName: 'tests/output/mutants.json' },
  // not in the project, whose types are checked while it runs
  tempDirName: join(tmpdir(), 'lodepole-mutants'),
  ignorePatterns: [
    'host/web/pictures',
    'tests/output',
    'tests/recordings/data',
    'firmware-proto/build',
    'firmware-proto/pictures',
    'built',
  ],
  allowEmpty: false,
  disableTypeChecks: false,
};
