// `npm run mutants -- FOLDER ...`: wrong lines on purpose in the files of these folders, and which of them no test notices.
import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { Instrumenter } from '@stryker-mutator/instrumenter';
import { testsThatReach } from './chosenTests.mjs';
import { endedFile, hashOf, instrumentedFile, mutantsFile, Verdicts } from './kept.mjs';

const say = (text) => process.stdout.write(`${text}\n`);
const refuse = (text) => {
  process.stderr.write(`${text}\n`);
  process.exit(64);
};

/** What the command line says; `draw`: how many of the mutants, Infinity for all. */
function asked() {
  try {
    const { values, positionals } = parseArgs({
      allowPositionals: true,
      options: { stryker: { type: 'boolean' }, draw: { type: 'string' }, seed: { type: 'string', default: '1' } },
    });
    const draw = Number(values.draw ?? Infinity);
    if (!(draw >= 1)) refuse(`--draw ${values.draw}: a number of mutants is needed. Example: --draw 300 --seed 7`);
    return { isByStryker: values.stryker, draw, seed: values.seed, places: positionals };
  } catch ({ message }) {
    return refuse(message);
  }
}
const { isByStryker, draw, seed, places } = asked();
if (places.length === 0) refuse('Which folder or file? Example: npm run mutants -- calibration/nudge');
const files = places.flatMap((place) => {
  const kind = statSync(place, { throwIfNoEntry: false });
  if (!kind) refuse(`${place} is not there.`);
  if (!kind.isDirectory()) return [resolve(place)];
  return readdirSync(place, { recursive: true }).map((name) => resolve(place, name));
});
if (isByStryker) {
  const mutate = files.filter((file) => file.endsWith('.ts')).map((file) => relative('.', file));
  const stryker = ['run', 'tests/mutants/stryker.config.mjs', '--mutate', mutate.join(',')];
  process.exit(spawnSync('node_modules/.bin/stryker', stryker, { stdio: 'inherit' }).status ?? 1);
}
const sources = files
  .filter((file) => file.endsWith('.ts'))
  .map((name) => ({ name, mutate: true, content: readFileSync(name, 'utf8') }));

const silent = Object.fromEntries(
  ['debug', 'info', 'warn', 'error', 'trace', 'fatal'].map((level) => [level, () => {}]),
);
const logger = { ...silent, isDebugEnabled: () => false };
// words and messages are held by reading them, not by a test for each letter
const options = { plugins: null, excludedMutations: ['StringLiteral'], ignorers: [], noHeader: false };
const { files: instrumented, mutants } = await new Instrumenter(logger).instrument(sources, options);
const contents = new Map(sources.map(({ name, content }) => [name, content.split('\n')]));
const hashes = new Map(sources.map(({ name, content }) => [name, hashOf(content)]));
const all = mutants
  .filter(({ status }) => status !== 'Ignored')
  .map(({ id, fileName, location: { start, end }, mutatorName, replacement }) => {
    const at = `${relative('.', fileName)}:${start.line + 1}:${start.column + 1}`;
    const key = [at, hashes.get(fileName), mutatorName, hashOf(`${end.line} ${end.column} ${replacement}`)].join(' ');
    return { id, key, at, fileName, mutatorName, replacement, line: contents.get(fileName)[start.line].trim() };
  });
/** The first ones in an order that the seed makes: a larger draw of the same seed holds the smaller one. */
const inOrder = (some) => some.toSorted((one, other) => (hashOf(seed + one.key) < hashOf(seed + other.key) ? -1 : 1));
const drawn = new Set(inOrder(all).slice(0, draw));
const known = all.filter((mutant) => drawn.has(mutant));
writeFileSync(
  instrumentedFile,
  JSON.stringify(Object.fromEntries(instrumented.map(({ name, content }) => [name, content]))),
);
writeFileSync(mutantsFile, JSON.stringify(known));

const tests = testsThatReach(sources.map(({ name }) => name)).map((file) => relative('.', file));
const share = known.length < all.length ? `${known.length} drawn with seed ${seed} of ${all.length}` : all.length;
say(`${share} mutants in ${sources.length} files; ${tests.length} files of tests import them.`);
const config = join('tests', 'mutants', 'vitest.config.mjs');
const vitest = ['run', '--config', config, '--reporter', 'dot', ...tests];
let verdicts = new Verdicts();
let judgedBefore = -1;
let waiting = tests;
// a mutant that leaves something behind ends the worker: the next one goes on from there
while (waiting.length > 0 && verdicts.count > judgedBefore) {
  judgedBefore = verdicts.count;
  writeFileSync(endedFile, '');
  spawnSync('node_modules/.bin/vitest', vitest, { stdio: ['ignore', 'ignore', 'inherit'] });
  const ended = new Set(readFileSync(endedFile, 'utf8').split('\n'));
  waiting = tests.filter((file) => !ended.has(file));
  verdicts = new Verdicts();
}
if (waiting.length > 0) say(`NOT WHOLE: ${waiting.join(', ')} had no turn. Say the same once more to go on.`);

const rows = new Map(
  sources.map(({ name }) => [relative('.', name), { killed: 0, endless: 0, lives: 0, unmet: 0, constant: 0 }]),
);
for (const { key, at, fileName, mutatorName, replacement, line } of known) {
  const row = rows.get(relative('.', fileName));
  const end = verdicts.end(key);
  if (end) row[end.verdict] += 1;
  else {
    const met = [...(verdicts.of.get(key)?.values() ?? [])].map(({ verdict }) => verdict);
    const state = met.includes('survived') ? 'lives' : met.includes('constant') ? 'constant' : 'unmet';
    row[state] += 1;
    if (state !== 'constant')
      say(`${state}  ${at} ${mutatorName}\n  ${line}\n  -> ${replacement.replace(/\s+/g, ' ').slice(0, 140)}`);
  }
}
const total = { killed: 0, endless: 0, lives: 0, unmet: 0, constant: 0 };
const told = (name, row) => {
  const all = row.killed + row.endless + row.lives + row.unmet;
  const noticed = row.killed + row.endless;
  const percent = all === 0 ? '' : ((100 * noticed) / all).toFixed(1);
  say([name.padEnd(40), all, noticed, row.lives, row.unmet, row.constant, percent].join('\t'));
};
say(['file'.padEnd(40), 'mutants', 'killed', 'lives', 'unmet', 'constants', 'percent'].join('\t'));
for (const [name, row] of rows) {
  told(name, row);
  for (const key of Object.keys(total)) total[key] += row[key];
}
told('all', total);
if (known.length < all.length) {
  const judged = total.killed + total.endless + total.lives + total.unmet;
  const part = (total.killed + total.endless) / judged;
  const left = (all.length - known.length) / (all.length - 1);
  const sigma = 100 * Math.sqrt((part * (1 - part) * left) / judged);
  say(`A draw: the whole place is at ${(100 * part).toFixed(1)} percent, standard error ${sigma.toFixed(1)}.`);
}
