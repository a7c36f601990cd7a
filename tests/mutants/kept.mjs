// What a run of mutants keeps in tests/output: the mutants, each judgement as soon as it is made, and the times of the tests.
import { createHash } from 'node:crypto';
import { appendFileSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, relative } from 'node:path';

const output = new URL('../output/mutants/', import.meta.url).pathname;
mkdirSync(output, { recursive: true });
export const mutantsFile = join(output, 'mutants.json');
export const instrumentedFile = join(output, 'instrumented.json');
/** The test files that have had their turn, one a line. */
export const endedFile = join(output, 'ended.txt');
const judgedFile = join(output, 'judged.jsonl');
const timesFile = join(output, 'times.json');

/** Processor time of a test and of reading its file above which it is left out: it would run again for every mutant that lives. */
export const longestMs = 500;

const read = (file, otherwise) => {
  try {
    return readFileSync(file, 'utf8');
  } catch {
    return otherwise;
  }
};
const root = new URL('../..', import.meta.url).pathname;
const times = JSON.parse(read(timesFile, '{}'));

/** Names of the tests of a file that were long when they ran last. */
export const longTests = (file) =>
  new Set(
    Object.entries(times[relative(root, file)] ?? {})
      .filter(([, ms]) => ms > longestMs)
      .map(([name]) => name),
  );

/** What the short tests of a file take together. */
export const shortMs = (file) =>
  Object.values(times[relative(root, file)] ?? {})
    .filter((ms) => ms <= longestMs)
    .reduce((sum, ms) => sum + ms, 0);

export function keepTimes(file, took) {
  const known = (times[relative(root, file)] ??= {});
  for (const [name, ms] of took) known[name] = Math.round(ms);
  writeFileSync(timesFile, JSON.stringify(times, undefined, 1));
}

export const hashOf = (text) => createHash('sha1').update(text).digest('hex').slice(0, 12);

const judgements = () =>
  read(judgedFile, '')
    .split('\n')
    .filter(Boolean)
    .map((line) => JSON.parse(line));

/** Verdicts on mutants, those of earlier runs on the same files with the same tests among them. */
export class Verdicts {
  constructor() {
    this.of = new Map();
    this.hashes = new Map();
    this.count = 0;
    for (const line of judgements()) this.note(line);
  }

  note({ mutant, test, verdict, by }) {
    this.count += 1;
    if (mutant === undefined || test !== this.testKey(test.split(' ')[0])) return;
    if (!this.of.has(mutant)) this.of.set(mutant, new Map());
    const known = this.of.get(mutant);
    // begun twice and never ended: a loop without end
    const isEndless = verdict === 'begun' && known.get(test)?.verdict === 'begun';
    known.set(test, { verdict: isEndless ? 'endless' : verdict, by: by && `${test.split(' ')[0]}: ${by}` });
  }

  testKey(path) {
    if (!this.hashes.has(path)) this.hashes.set(path, `${path} ${hashOf(read(join(root, path), ''))}`);
    return this.hashes.get(path);
  }

  /** How a mutant was noticed: killed or endless. */
  end(mutant) {
    return [...(this.of.get(mutant)?.values() ?? [])].find(
      ({ verdict }) => verdict === 'killed' || verdict === 'endless',
    );
  }

  /** Whether nothing has noticed it yet and this test file has not met it. */
  isOpen(mutant, path) {
    return !this.end(mutant) && this.of.get(mutant)?.get(this.testKey(path))?.verdict !== 'survived';
  }

  keep(mutant, path, verdict, by) {
    const line = { mutant, test: this.testKey(path), verdict, by };
    this.note(line);
    appendFileSync(judgedFile, `${JSON.stringify(line)}\n`);
  }
}

export const keepEnded = (file) => appendFileSync(endedFile, `${relative(root, file)}\n`);

/** A test file that did not pass, or not twice: it judges nothing. */
export const keepBroken = (file) =>
  appendFileSync(judgedFile, `${JSON.stringify({ broken: relative(root, file), at: Date.now() })}\n`);
