// Vitest's runner for mutants: when a test file has passed, it is read again for every mutant that its tests run through.
// The program's modules stay loaded, so a mutant costs its tests and no more.
import { readFileSync } from 'node:fs';
import { startTests } from '@vitest/runner';
import { TestRunner } from 'vitest';
import { relative } from 'node:path';
import { keepBroken, keepEnded, keepTimes, longestMs, longTests, mutantsFile, Verdicts } from './kept.mjs';

/** What the code that Stryker's instrumenter wrote looks at. */
const mutation = (globalThis.__stryker__ ??= {});
mutation.mutantCoverage ??= { static: {}, perTest: {} };
const hits = mutation.mutantCoverage.perTest;

/** A mutant may run a line so many times as often as the line runs without it: more is a loop without end. */
const mostTimes = 100;

const keys = new Map(JSON.parse(readFileSync(mutantsFile, 'utf8')).map(({ id, key }) => [id, key]));
const verdicts = new Verdicts();

/** Of the process, so that a busy machine makes no test long. */
const cpuMs = () => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};

const fullName = (task) => (task.suite ? `${fullName(task.suite)} ${task.name}`.trim() : task.name);
const testsOf = (task) => task.tasks?.flatMap(testsOf) ?? [task];
const hasFailed = (task) => task.result?.state === 'fail' || (task.tasks ?? []).some(hasFailed);
const escaped = (text) => text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
const patternOf = (names) => new RegExp(`^(${names.map(escaped).join('|')})$`);

/** Notes whose lines are run: a test's, or while it is read its file's; and what they take. */
class Noting extends TestRunner {
  onCollectStart(file) {
    super.onCollectStart(file);
    mutation.currentTestId = file.filepath;
    this.since = cpuMs();
  }

  async onCollected() {
    this.readingMs = cpuMs() - this.since;
  }

  onBeforeTryTask(test) {
    super.onBeforeTryTask(test);
    mutation.currentTestId = `${test.file.filepath}#${fullName(test)}`;
    this.since = cpuMs();
  }

  onAfterRunTask(test) {
    super.onAfterRunTask(test);
    mutation.currentTestId = test.file.filepath;
    test.ms = cpuMs() - this.since + this.readingMs;
  }
}

/** Reads a test file again within the worker that stands. */
class Again extends Noting {
  constructor({ config, moduleRunner }) {
    super(config);
    this.moduleRunner = moduleRunner;
    this.trace = (name, attributes, run = attributes) => run();
  }

  importFile(path) {
    const { evaluatedModules } = this.workerState;
    for (const [id, module] of evaluatedModules.idToModuleMap)
      if (/\/tests\/(?!mutants\/)/.test(id)) evaluatedModules.invalidateModule(module);
    return this.moduleRunner.import(path);
  }

  onAfterRunTask(test) {
    super.onAfterRunTask(test);
    if (test.result?.state === 'fail') this.cancel('test-failure');
  }

  async onAfterRunSuite() {}
}

export default class MutantRunner extends Noting {
  async onBeforeRunTask(test) {
    if (longTests(test.file.filepath).has(fullName(test))) test.mode = 'skip';
    await super.onBeforeRunTask(test);
  }

  async onAfterRunFiles(files) {
    await super.onAfterRunFiles(files);
    for (const file of files) {
      if (hasFailed(file)) keepBroken(file.filepath);
      else
        await this.judge(
          file.filepath,
          testsOf(file)
            .filter(({ result }) => result?.state === 'pass')
            .map(fullName),
        );
      keepEnded(file.filepath);
    }
    mutation.currentTestId = undefined;
  }

  run(path, names) {
    return startTests([{ filepath: path, testNamePattern: patternOf(names) }], new Again(this)).then(([read]) => read);
  }

  async judge(filepath, passed) {
    const atFirst = hits[filepath] ?? {};
    for (const id of Object.keys(hits)) if (id.startsWith(filepath)) delete hits[id];
    if (passed.length === 0) return;
    // once more without a mutant: what is run through again can be judged, and tests that do not pass twice cannot judge
    const again = await this.run(filepath, passed);
    if (hasFailed(again)) return keepBroken(filepath);
    const ran = testsOf(again).filter(({ ms }) => ms !== undefined);
    keepTimes(
      filepath,
      ran.map((test) => [fullName(test), test.ms]),
    );
    const short = ran.filter(({ ms }) => ms <= longestMs);
    const whileRead = hits[filepath] ?? {};
    const met = new Map();
    for (const test of short.sort((one, other) => one.ms - other.ms)) {
      const name = fullName(test);
      for (const [id, times] of Object.entries({ ...whileRead, ...hits[`${filepath}#${name}`] })) {
        const { names, times: before } = met.get(id) ?? { names: [], times: whileRead[id] ?? 0 };
        met.set(id, { names: [...names, name], times: before + times });
      }
    }
    for (const id of Object.keys(atFirst))
      if (keys.has(id) && !met.has(id)) verdicts.keep(keys.get(id), relative('.', filepath), 'constant');
    for (const [id, { names, times }] of met) {
      if (keys.has(id) && verdicts.isOpen(keys.get(id), relative('.', filepath)))
        await this.meet(filepath, id, names, mostTimes * times);
    }
  }

  async meet(filepath, id, names, hitLimit) {
    const keep = (verdict, by) => verdicts.keep(keys.get(id), relative('.', filepath), verdict, by);
    keep('begun');
    Object.assign(mutation, { activeMutant: id, hitCount: 0, hitLimit });
    const read = await this.run(filepath, names);
    const isEndless = mutation.hitCount > hitLimit;
    Object.assign(mutation, { activeMutant: undefined, hitCount: undefined });
    if (!hasFailed(read)) return keep('survived');
    const killer = testsOf(read).find(({ result }) => result?.state === 'fail');
    // a failure counts only where the test passes again without the mutant; else something was left behind, and nothing more is judged
    if (hasFailed(await this.run(filepath, killer ? [fullName(killer)] : names)))
      throw new Error(`${relative('.', filepath)} does not pass any more after mutant ${keys.get(id)}.`);
    keep(isEndless ? 'endless' : 'killed', killer && fullName(killer));
  }
}
