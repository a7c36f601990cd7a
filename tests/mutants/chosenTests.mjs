// Which tests a mutant meets: those that import its file, without the long ones.
import { appendFileSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';

/** Processor time of a test and of reading its file, above which it is left out: it would run again for every mutant that lives. */
export const longestMs = 500;
/** Where tests are that start no program and no browser, and what is no way from them to a mutant. */
const inMathematics = {
  tests: ['tests/unit/', 'tests/published/', 'tests/faults/live-', 'tests/faults/sight-'],
  notThrough: /\/host\/(commands|web|practice|night|terminal|live|capture|link|store)\//,
};
const inHost = {
  tests: ['tests/unit/', 'tests/published/'],
  notThrough: /\/host\/(commands|web|practice|night|terminal)\//,
};
/** Of the project itself, for the tests run in a copy of it. */
const timesFile = new URL('../output/mutants-times.json', import.meta.url).pathname;
const judgedFile = new URL('../output/mutants.jsonl', import.meta.url).pathname;

/** Types are no way. */
const importsOf = (file) =>
  [...readFileSync(file, 'utf8').matchAll(/^(?:import|export) (?!type)[^;]*from '(\.[^']+\.ts)'/gm)].map(([, path]) =>
    resolve(dirname(file), path),
  );

/** The tests from which imports lead to one of these files. */
export function testsThatReach(files) {
  const isMathematics = files.every((file) => relative('.', file).startsWith('calibration'));
  const { tests, notThrough } = isMathematics ? inMathematics : inHost;
  const known = new Map(files.map((file) => [resolve(file), true]));
  const reaches = (file) => {
    if (!known.has(file)) {
      known.set(file, false);
      known.set(file, !notThrough.test(file) && importsOf(file).some(reaches));
    }
    return known.get(file);
  };
  return ['tests/unit', 'tests/published', 'tests/faults']
    .flatMap((room) => readdirSync(room).map((name) => join(room, name)))
    .filter((file) => file.endsWith('.test.ts') && tests.some((start) => file.startsWith(start)))
    .map((file) => resolve(file))
    .filter(reaches);
}

const times = (() => {
  try {
    return JSON.parse(readFileSync(timesFile, 'utf8'));
  } catch {
    return {};
  }
})();

/** Names of the tests of a file that were long when they ran last. */
export const longTests = (file) =>
  Object.entries(times[relative('.', file)] ?? {})
    .filter(([, ms]) => ms > longestMs)
    .map(([name]) => name);

/** Keeps what the tests took, so that the long ones need not run the next time. */
export function keepTimes(results) {
  for (const { id, ms } of results) {
    const [file, ...name] = relative('.', id).split('#');
    (times[file] ??= {})[name.join('#')] = Math.round(ms);
  }
  mkdirSync(join(timesFile, '..'), { recursive: true });
  writeFileSync(timesFile, JSON.stringify(times, undefined, 1));
}

/** One line for each mutant as soon as it is judged: what is known when a run is cut off. */
export const keepJudged = (judged) => appendFileSync(judgedFile, `${JSON.stringify(judged)}\n`);
