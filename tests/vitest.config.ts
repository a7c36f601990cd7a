import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Rooms whose tests wait for a good part of their time, and those that calculate long. */
const waiting = ['pages', 'job', 'faults'];
const calculating = ['statistics', 'recordings'];

/** One file that waits and one that calculates by turns, so that both cores are used from the first to the last. */
class ByTurns extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const from = (rooms: readonly string[]): TestSpecification[] =>
      rooms.flatMap((room) => files.filter(({ moduleId }) => moduleId.includes(`/tests/${room}/`)));
    const [waits, calculates] = [from(waiting), from(calculating)];
    const turns = Array.from({ length: Math.max(waits.length, calculates.length) }, (_, turn) => [
      ...waits.slice(turn, turn + 1),
      ...calculates.slice(turn, turn + 1),
    ]);
    return [...new Set([...turns.flat(), ...files])];
  }
}

export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.ts'],
    globalSetup: ['tests/program.ts'],
    sequence: { sequencer: ByTurns },
    // far above what anything takes: on a busy machine a test may be slow, and each says itself what it waits for
    testTimeout: 180_000,
    hookTimeout: 60_000,
    expect: { poll: { timeout: 20_000 } },
    // one more than the cores of the least machine, for a part of the time is waiting
    maxWorkers: 3,
    // a worker loads each module once, for all its files: what a test sets it gives back
    isolate: false,
    passWithNoTests: false,
  },
});
