// The worker's side of the warm runner: program modules stay loaded, test files are read again for every mutant.
import { BroadcastChannel } from 'node:worker_threads';
import { INSTRUMENTER_CONSTANTS } from '@stryker-mutator/api/core';
import { collectTests, startTests } from '@vitest/runner';
import { inject, TestRunner } from 'vitest';

const escaped = (text) => text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');

const fullName = (task) => (task.suite ? `${fullName(task.suite)} ${task.name}`.trim() : task.name);

const failed = (task) =>
  task.result?.state === 'fail'
    ? (task.tasks?.map(failed).find(Boolean) ?? task)
    : task.tasks?.map(failed).find(Boolean);

/** Of the process, so that a busy machine makes no test slow. */
const cpuMs = () => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};

/** Runs test files within the worker that stands. `hits` is told whose lines are being run: a test's, or its file's. */
class WithinWorker extends TestRunner {
  constructor(config, moduleRunner, mutation, stopAtFailure) {
    super(config);
    this.trace = (name, attributes, run = attributes) => run();
    Object.assign(this, { moduleRunner, mutation, stopAtFailure });
  }

  importFile(path) {
    const { evaluatedModules } = this.workerState;
    for (const [id, module] of evaluatedModules.idToModuleMap)
      if (/\/tests\/(?!mutants\/)/.test(id)) evaluatedModules.invalidateModule(module);
    return this.moduleRunner.import(path);
  }

  onCollectStart(file) {
    super.onCollectStart(file);
    this.mutation.currentTestId = file.filepath;
    this.since = cpuMs();
  }

  async onCollected(files) {
    this.readingMs = cpuMs() - this.since;
    await super.onCollected?.(files);
  }

  onBeforeTryTask(test) {
    super.onBeforeTryTask(test);
    this.mutation.currentTestId = `${test.file.filepath}#${fullName(test)}`;
    this.since = cpuMs();
  }

  onAfterRunTask(test) {
    super.onAfterRunTask(test);
    this.mutation.currentTestId = test.file.filepath;
    test.cpuMs = cpuMs() - this.since;
    if (this.stopAtFailure && test.result?.state === 'fail') this.cancel('test-failure');
  }

  async onAfterRunSuite() {}
}

const resultsOf = (task) =>
  task.tasks?.flatMap(resultsOf) ?? [
    {
      id: `${task.file.filepath}#${fullName(task)}`,
      state: task.result?.state ?? 'skip',
      ms: task.cpuMs ?? 0,
      message: task.result?.errors?.[0]?.message,
    },
  ];

const sum = (one, other) => {
  const all = { ...one };
  for (const [key, value] of Object.entries(other)) all[key] = (all[key] ?? 0) + value;
  return all;
};

export default class WarmWorker extends TestRunner {
  async onAfterRunFiles() {
    await super.onAfterRunFiles();
    this.mutation = globalThis[INSTRUMENTER_CONSTANTS.NAMESPACE] ??= {};
    this.mutation.mutantCoverage ??= { static: {}, perTest: {} };
    const channel = new BroadcastChannel(inject('channel'));
    await new Promise((stop) => {
      channel.onmessage = async ({ data }) => {
        if (data.stop) return stop();
        try {
          channel.postMessage({ to: data.id, answer: await this[data.do](data) });
        } catch (error) {
          channel.postMessage({ to: data.id, error: String(error?.stack ?? error) });
        }
      };
      channel.postMessage({ ready: true });
    });
    channel.close();
  }

  within(stopAtFailure) {
    return new WithinWorker(this.config, this.moduleRunner, this.mutation, stopAtFailure);
  }

  /** The tests of the files, and which mutants each runs through. What runs while a test file is read belongs to all its tests. */
  async dryRun({ files, longestMs }) {
    const { mutation } = this;
    const { perTest } = mutation.mutantCoverage;
    const paths = files.map(({ filepath }) => filepath);
    await collectTests(paths, this.within(false));
    mutation.currentTestId = undefined;
    const whileLoaded = new Set(paths.flatMap((path) => Object.keys(perTest[path] ?? {})));
    for (const path of paths) delete perTest[path];
    const results = [];
    for (const { filepath, long } of files) {
      const runner = this.within(false);
      const testNamePattern = new RegExp(long.length > 0 ? `^(?!(${long.map(escaped).join('|')})$)` : '');
      const [read] = await startTests([{ filepath, testNamePattern }], runner);
      results.push(...resultsOf(read).map((result) => ({ ...result, ms: result.ms + runner.readingMs })));
    }
    mutation.currentTestId = undefined;
    const ran = results.filter(({ state }) => state !== 'skip');
    const whileRead = (id) => perTest[id.split('#')[0]] ?? {};
    const covered = ran.map(({ id, ms }) => [id, ms > longestMs ? {} : sum(perTest[id] ?? {}, whileRead(id))]);
    const again = new Set(ran.flatMap(({ id }) => Object.keys(whileRead(id))));
    const once = [...whileLoaded].filter((mutant) => !again.has(mutant));
    return {
      results: ran,
      coverage: {
        perTest: Object.fromEntries(covered),
        static: Object.fromEntries(once.map((mutant) => [mutant, 1])),
      },
    };
  }

  /** The named tests of one file, with a mutant or with none. */
  async run({ file, names, mutant, hitLimit }) {
    const { mutation } = this;
    Object.assign(mutation, { activeMutant: mutant, hitCount: 0, hitLimit });
    const testNamePattern = new RegExp(`^(${names.map(escaped).join('|')})$`);
    try {
      const [read] = await startTests([{ filepath: file, testNamePattern }], this.within(true));
      const failure = failed(read);
      return {
        ran: resultsOf(read).filter(({ state }) => state === 'pass' || state === 'fail').length,
        hitCount: mutation.hitCount,
        failure: failure && {
          name: failure.type === 'test' ? fullName(failure) : undefined,
          message: failure.result.errors?.[0]?.message ?? 'failed',
        },
      };
    } finally {
      Object.assign(mutation, { activeMutant: undefined, hitCount: undefined, currentTestId: undefined });
    }
  }
}
