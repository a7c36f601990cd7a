// Which tests a mutant meets: those that import its file, without the long ones.
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';

/** Where tests are that start no program and no browser (those of the board compile one), and what is no way from them to a mutant. */
const inMathematics = {
  tests: ['tests/unit/', 'tests/published/', 'tests/faults/live-', 'tests/faults/sight-'],
  notThrough: /\/host\/(commands|web|practice|night|terminal|live|capture|link|store)\//,
};
const inHost = {
  tests: ['tests/unit/', 'tests/published/', 'tests/faults/live-'],
  notThrough: /\/host\/(commands|web|practice|night|terminal)\//,
};

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
    .filter((file) => !file.startsWith('tests/unit/board-'))
    .map((file) => resolve(file))
    .filter(reaches);
}
