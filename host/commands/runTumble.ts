import type { TumbleResult } from '../../calibration/tumble/types.ts';
import type { Hello } from '../../firmware-proto/wire.ts';
import type { CsvOptions } from '../capture/csv/options.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { openAsked } from '../live/openAsked.ts';
import type { LiveSession } from '../live/session.ts';
import { printJson, printResult, say } from '../output.ts';
import type { Site } from '../site/site.ts';
import { boardKey, calibrationToFile, writeCalibrationFile } from '../store/calibrationFile.ts';
import { saveCalibration } from '../store/profile.ts';
import { checkFolderOf, saveNamedFile } from '../store/jsonFile.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { tumbleFromFile } from './tumbleFromFile.ts';
import { tumbleOptions } from '../steps/tumbleOptions.ts';
import {
  enoughPercent,
  enoughSamples,
  TumbleStep,
  type TumbleOutcome,
  type TumbleProgress,
} from '../steps/tumbleStep.ts';
import {
  coverageMap,
  oneSensorFile,
  oneSensorJson,
  oneSensorText,
  tumbleJson,
  tumbleText,
} from '../steps/tumbleWords.ts';
import { askAboutPorts, sayLooking } from './askAboutPorts.ts';
import { texts } from './words/tumble.ts';

export interface RunTumbleOptions {
  from?: string;
  out?: string;
  port?: string;
  virtual?: string;
  seed?: number;
  fast?: boolean;
  seconds?: number;
  json?: boolean;
  site?: Site;
  csv?: CsvOptions;
}

/** What the drawing shows. */
const mapWords = texts.map;

/** Of virtual hands no more is told where there is no screen. */
const saidEveryPercent = 20;
/** Readings begin this long after the start: the board is still being carried away from the mount's iron. */
const carryS = 4;

/** Tumble live or out of a file, and keep what was accepted. Throws Failure. */
export async function runTumble(options: RunTumbleOptions): Promise<ExitCode> {
  if (options.out !== undefined) await checkFolderOf(options.out);
  if (options.from === undefined) return runLive(options);
  const tumbled = await tumbleFromFile(options.from, options.site, options.csv);
  if (tumbled.kind !== 'both') {
    const { kind, result, warnings } = tumbled;
    const { json, out } = options;
    if (result.accepted && out !== undefined) await saveNamedFile(out, oneSensorFile(kind, result));
    if (json) printJson(oneSensorJson(kind, result, warnings));
    else printResult(wrapped(oneSensorText(kind, result, warnings), process.stdout, 2));
    if (result.accepted && out !== undefined) say(texts.oneSensorSaved(out));
    return result.accepted ? exitCode.done : exitCode.refused;
  }
  const { result, temperatureC, hello } = tumbled;
  return report(result, temperatureC, hello, options, false);
}

async function runLive(options: RunTumbleOptions): Promise<ExitCode> {
  const { port, virtual, seed, fast, site } = options;
  await askAboutPorts(options);
  sayLooking('tumble', options);
  const session = await openAsked({ port, virtual, seed, isFast: fast, site, mayLackSite: true });
  try {
    say(session.virtual ? texts.handsTumble(session.source) : texts.takeBoard(session.source, carryS));
    const boardId = session.hello()?.boardId;
    if (session.virtual === undefined && boardId !== undefined) say(texts.forThisBoard(boardId));
    const step = new TumbleStep(tumbleOptions(session.site, session.hello()));
    const ended = await gather(session, step, options);
    const early = endedEarly(step.progress());
    if (ended === 'interrupted')
      throw new Failure(exitCode.interrupted, ['Interrupted.', early].filter(Boolean).join(' '), 'Nothing was kept.');
    if (early) say(early);
    const { result, temperatureC }: TumbleOutcome = step.finish();
    return await report(result, temperatureC, session.hello(), options, session.virtual === undefined);
  } finally {
    await session.close();
  }
}

/** What a tumble that was ended before it was ready had reached. */
const endedEarly = ({ ready, samples, elapsedS, coverage }: TumbleProgress): string | undefined =>
  ready
    ? undefined
    : texts.endedEarly(elapsedS.toFixed(0), samples, coverage.percent.toFixed(0), enoughSamples, enoughPercent);

/** Feeds the step until enough is covered, the time is over, a key or a signal ends it. */
async function gather(
  session: LiveSession,
  step: TumbleStep,
  options: RunTumbleOptions,
): Promise<'done' | 'interrupted'> {
  const isPerson = process.stderr.isTTY && !options.json;
  let end: (how: 'done' | 'interrupted') => void = () => {};
  const ended = new Promise<'done' | 'interrupted'>((resolve) => {
    end = resolve;
  });
  const beginMs = performance.now() + 1000 * carryS;
  const stopSamples = session.onSample((sample) => {
    if (performance.now() >= beginMs) step.offer(sample);
  });
  const interrupt = (): void => end('interrupted');
  const enter = (): void => end('done');
  process.on('SIGINT', interrupt);
  if (process.stdin.isTTY) process.stdin.once('data', enter);
  let drawn = 0;
  let saidPercent = -Infinity;
  const show = setInterval(() => {
    const progress = step.progress();
    const { percent } = progress.coverage;
    const turn = session.virtual ? '' : ` ${progress.words}`;
    const head = texts.progress(progress.samples, percent.toFixed(0), turn);
    if (isPerson) {
      const words = wrapped(texts.enterEnds(head, session.virtual !== undefined), process.stderr);
      const lines = [
        ...wrapped(mapWords, process.stderr).split('\n'),
        ...coverageMap(progress.coverage),
        ...words.split('\n'),
      ];
      process.stderr.write(`${drawn > 0 ? `\u001B[${drawn}A\u001B[J` : ''}${lines.join('\n')}\n`);
      drawn = lines.length;
    } else if (!session.virtual || percent >= saidPercent + saidEveryPercent) {
      say(head);
      saidPercent = percent;
    }
    if (options.seconds === undefined && progress.ready) end('done');
  }, 1000);
  const limit = setTimeout(() => end('done'), 1000 * (carryS + (options.seconds ?? 300)));
  if (session.virtual?.hands) {
    session.virtual?.hands.tumble({ durationS: carryS + (options.seconds ?? 30) });
    void session.virtual?.hands.whenDone().then(() => end('done'));
  }
  try {
    return await ended;
  } finally {
    clearInterval(show);
    clearTimeout(limit);
    stopSamples();
    process.off('SIGINT', interrupt);
    if (process.stdin.isTTY) process.stdin.off('data', enter).pause();
  }
}

async function report(
  result: TumbleResult,
  temperatureC: number | undefined,
  hello: Hello | undefined,
  { json, out }: RunTumbleOptions,
  keep: boolean,
): Promise<ExitCode> {
  const file =
    result.calibration && calibrationToFile(result.calibration, { board: hello && boardKey(hello), temperatureC });
  const isKept = result.accepted && result.calibration !== undefined && file !== undefined;
  // kept before it is told: what cannot be kept is not called accepted
  if (isKept && keep && hello) await saveCalibration(hello, result.calibration!, temperatureC);
  if (isKept && out !== undefined) await writeCalibrationFile(out, file);
  if (json) printJson(tumbleJson(result, file));
  else printResult(wrapped(tumbleText(result), process.stdout, 2));
  if (!isKept) return exitCode.refused;
  if (out !== undefined) say(texts.savedIn(out));
  if (keep && hello) {
    say(texts.savedForBoard(hello.boardId));
  } else if (!hello || !keep) {
    say(out === undefined ? texts.notSaved : texts.thenSwing);
  }
  return exitCode.done;
}
