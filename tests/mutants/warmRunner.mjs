// A test runner for Stryker that keeps one worker of Vitest warm: a mutant costs its tests, not a new worker.
import { BroadcastChannel } from 'node:worker_threads';
import { relative, resolve } from 'node:path';
import { declareClassPlugin, PluginKind } from '@stryker-mutator/api/plugin';
import { TestStatus } from '@stryker-mutator/api/test-runner';
import { createVitest } from 'vitest/node';
import { keepJudged, keepTimes, longestMs, longTests, testsThatReach } from './chosenTests.mjs';

class WarmRunner {
  constructor() {
    this.channelName = `lodepole-mutants-${process.pid}`;
    this.times = new Map();
    this.met = new Set();
  }

  capabilities() {
    return { reloadEnvironment: false };
  }

  async init() {
    process.env.NODE_ENV = 'test';
    process.env.VITEST = '1';
    this.vitest = await createVitest('test', {
      config: 'tests/mutants/vitest.config.ts',
      runner: resolve('tests/mutants/warmWorker.mjs'),
      pool: 'threads',
      maxWorkers: 1,
      watch: false,
      reporters: [{}],
      onConsoleLog: () => false,
    });
    this.vitest.provide('channel', this.channelName);
    this.channel = new BroadcastChannel(this.channelName);
    await this.wake();
  }

  async wake() {
    this.met.clear();
    const ready = new Promise((then) => (this.channel.onmessage = ({ data }) => data.ready && then()));
    const hold = this.vitest.projects[0].createSpecification(resolve('tests/mutants/hold.ts'));
    this.worker = this.vitest.runTestSpecifications([hold]);
    await Promise.race([ready, this.worker.then(() => Promise.reject(new Error('The worker ended at once.')))]);
  }

  async sleep() {
    this.channel.postMessage({ stop: true });
    await this.worker;
  }

  ask(request) {
    const id = (this.asked = (this.asked ?? 0) + 1);
    return new Promise((then, reject) => {
      this.channel.onmessage = ({ data }) => {
        if (data.to === id) return data.error ? reject(new Error(data.error)) : then(data.answer);
      };
      this.channel.postMessage({ id, ...request });
    });
  }

  async dryRun({ files }) {
    const { results, coverage } = await this.ask({
      do: 'dryRun',
      files: testsThatReach(files).map((filepath) => ({ filepath, long: longTests(filepath) })),
      longestMs,
    });
    keepTimes(results);
    return {
      status: 'complete',
      mutantCoverage: coverage,
      tests: results.map(({ id, state, ms, message }) => ({
        id,
        name: id.slice(id.indexOf('#') + 1),
        fileName: id.split('#')[0],
        timeSpentMs: ms,
        status: { pass: TestStatus.Success, fail: TestStatus.Failed }[state] ?? TestStatus.Skipped,
        failureMessage: message ?? 'failed',
      })),
    };
  }

  async mutantRun(options) {
    const result = await this.meet(options);
    const { fileName, location, mutatorName, replacement } = options.activeMutant;
    const { start } = location;
    keepJudged({
      place: `${relative('.', fileName)}:${start.line}:${start.column}`,
      mutatorName,
      replacement,
      ...result,
    });
    return result;
  }

  async meet({ testFilter, activeMutant, hitLimit }) {
    const byFile = new Map();
    for (const id of testFilter) {
      const [file, ...name] = id.split('#');
      byFile.set(file, [...(byFile.get(file) ?? []), name.join('#')]);
    }
    const quickestFirst = [...byFile].sort(([a], [b]) => (this.times.get(a) ?? 0) - (this.times.get(b) ?? 0));
    let nrOfTests = 0;
    for (const [file, names] of quickestFirst) {
      const outcome = await this.judge(file, names, activeMutant.id, hitLimit);
      nrOfTests += outcome.ran;
      if (outcome.hitCount > hitLimit) return { status: 'timeout', reason: `ran ${outcome.hitCount} times` };
      if (outcome.failure)
        return {
          status: 'killed',
          killedBy: [`${file}#${outcome.failure.name ?? names[0]}`],
          failureMessage: outcome.failure.message,
          nrOfTests,
        };
    }
    return { status: 'survived', nrOfTests };
  }

  /** A failure counts only where the same tests pass again without the mutant; else something was left behind, and a new worker judges. */
  async judge(file, names, mutant, hitLimit) {
    if (!this.met.has(file)) {
      const start = performance.now();
      await this.ask({ do: 'run', file, names });
      this.times.set(file, performance.now() - start);
      this.met.add(file);
    }
    const outcome = await this.ask({ do: 'run', file, names, mutant, hitLimit });
    if (!outcome.failure || outcome.hitCount > hitLimit) return outcome;
    const again = outcome.failure.name === undefined ? names : [outcome.failure.name];
    if (!(await this.ask({ do: 'run', file, names: again })).failure) return outcome;
    await this.sleep();
    await this.wake();
    await this.ask({ do: 'run', file, names });
    return this.ask({ do: 'run', file, names, mutant, hitLimit });
  }

  async dispose() {
    if (this.worker) await this.sleep();
    this.channel?.close();
    await this.vitest?.close();
  }
}

export const strykerPlugins = [declareClassPlugin(PluginKind.TestRunner, 'warm', WarmRunner)];
