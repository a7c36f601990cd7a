import { CaptureWriter } from '../capture/captureWriter.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { outputFault } from '../fileFault.ts';
import { printJson, say } from '../output.ts';
import type { LookName } from '../terminal/look.ts';
import { PlainLines } from '../terminal/plainLines.ts';
import { quietKeys } from '../terminal/quietKeys.ts';
import { sayNotes } from '../terminal/sayNotes.ts';
import type { LockFollower } from '../terminal/lockCheck.ts';
import { seenOf } from '../steps/lockStep.ts';
import { keepLocking } from '../store/lockings.ts';
import { WatchScreen } from '../terminal/watchScreen.ts';
import type { CodeShown } from '../web/share.ts';
import { carriedBy, carryOn, type CarriedAnswer } from '../night/carriedAnswer.ts';
import { ComingStep } from '../night/comingStep.ts';
import type { PageServer } from '../web/startPage.ts';
import { needlesJson } from '../live/needlesJson.ts';
import { openSession, type SessionOptions } from '../live/openSession.ts';
import { practise, type Practice } from '../live/practice.ts';
import { type LiveSession, type Needles } from '../live/session.ts';
import { areHome, needlesHomeWords } from '../night/needlesHome.ts';
import { noteOnce } from '../night/noteStep.ts';

interface WatchOptions extends SessionOptions {
  seconds?: number;
  record?: string;
  json?: boolean;
  look: LookName;
  /** False: no page. */
  page: boolean;
  pagePort?: number;
  share?: boolean;
}

/** JSON lines a second: one at least every this many seconds is left out. */
const jsonEveryS = 0.045;
/** The model of a capture is looked for this often, until a board has answered. */
const lookForModelMs = 50;
/** A machine that reads the stream gets this long at rest first, a person less. */
const practiceAfterS = { json: 21, person: 8 };

/** What is watched; a recording has an end, and a time of its own. */
export interface Watched {
  session: LiveSession;
  /** Called once everything listens. */
  start?(): void;
  ended?: Promise<void>;
  clockS?(): number;
}

const wallClockS = (): number => performance.now() / 1000;

/**
 * Shows the needles until the time is over, the person leaves, the recording ends or the reader of the stream has gone.
 * Throws Failure.
 */
export async function runWatch(
  options: WatchOptions,
  // the site can be typed on the page
  open: () => Promise<Watched> = async () => ({
    session: await openSession({ ...options, mayLackSite: options.page && !options.json }),
  }),
): Promise<ExitCode> {
  const ending = new Ending();
  const loudAgain = process.stdin.isTTY && !options.json ? quietKeys(process.stdin) : () => {};
  const { session, start, ended, clockS = wallClockS } = await open().finally(loudAgain);
  const closers: (() => unknown)[] = [() => session.close()];
  try {
    const recording = options.record === undefined ? undefined : await record(session, options.record);
    if (recording) closers.push(recording.close);
    // the needles of a recording are not of tonight
    const carried = ended ? carriedBy(session, false) : await carryOn(session, say);
    closers.push(() => carried.close());
    if (!ended && !session.virtual) closers.push(() => noteNeedles(session.latest()));
    const practice = practise(
      session,
      options.json ? practiceAfterS.json : practiceAfterS.person,
      options.seed,
      () => carried.log.hasBegun,
    );
    closers.push(practice.stop);
    if (options.json) closers.push(showJson(session, carried, ending, clockS));
    else {
      const coming = ended ? undefined : new ComingStep(session, carried.log);
      closers.push(() => coming?.close());
      closers.push(await showPeople(session, { carried, coming }, options, ending, practice));
    }
    void ended?.then(
      () => ending.now(exitCode.done),
      (error: unknown) => ending.fail(error),
    );
    start?.();
    const code = await ending.wait(options.seconds);
    await recording?.close();
    return code === exitCode.done && recording?.isCutOff() ? exitCode.inputOutput : code;
  } finally {
    ending.stopListening();
    for (const close of closers.reverse()) await close();
  }
}

/** Needles that rest as near as they can tell are a step that is done. */
async function noteNeedles(needles: Needles | undefined): Promise<void> {
  if (needles && areHome(needles)) await noteOnce('needles', needlesHomeWords(needles));
}

interface Recorder {
  /** May be called again. */
  close(): Promise<void>;
  /** Something is missing at its end, as on a full disk. */
  isCutOff(): boolean;
}

/** Keeps every sound line in a new capture file; the needles never wait for the disk. Throws Failure when it cannot begin. */
async function record(session: LiveSession, path: string): Promise<Recorder> {
  const head = { source: session.source, hello: session.hello(), site: session.site, startedUtcMs: Date.now() };
  const writer = await CaptureWriter.create(path, head, say);
  const stopLines = session.onSoundLine((heard) => writer.keep(heard));
  const stopLink = session.onLink(({ state }) => {
    if (state === 'streaming') writer.portOpened();
  });
  const timer = setInterval(() => {
    const model = session.axisModel();
    if (!model) return;
    writer.keepModel(model);
    clearInterval(timer);
  }, lookForModelMs);
  let closed: Promise<void> | undefined;
  const close = async (): Promise<void> => {
    clearInterval(timer);
    stopLines?.();
    stopLink();
    await writer.close();
    say(
      writer.isCutOff
        ? `The recording in ${path} is cut off. Free some space, or record to another disk.`
        : `${writer.lines} lines kept in ${path}.`,
    );
  };
  return { close: () => (closed ??= close()), isCutOff: () => writer.isCutOff };
}

/** Whatever ends the watch first: the time, a signal, a key, or the reader of stdout. */
class Ending {
  private end: (code: ExitCode) => void = () => {};
  private break: (error: unknown) => void = () => {};
  private readonly ended = new Promise<ExitCode>((resolve, reject) => {
    this.end = resolve;
    this.break = reject;
  });
  private readonly interrupt = (): void => this.end(exitCode.interrupted);
  private readonly onPipe = (error: NodeJS.ErrnoException): void => {
    // the reader has seen enough: that is no error
    if (error.code === 'EPIPE') this.end(exitCode.done);
    else this.break(outputFault(error));
  };

  constructor() {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, this.interrupt);
    process.stdout.on('error', this.onPipe);
  }

  now(code: ExitCode): void {
    this.end(code);
  }

  fail(error: unknown): void {
    this.break(error);
  }

  wait(seconds: number | undefined): Promise<ExitCode> {
    if (seconds === undefined) return this.ended;
    const timer = setTimeout(() => this.end(exitCode.done), seconds * 1000);
    return this.ended.finally(() => clearTimeout(timer));
  }

  stopListening(): void {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.off(signal, this.interrupt);
  }
}

/** About twenty lines a second, whatever the board's rate; a change of state at once. */
function showJson(session: LiveSession, carried: CarriedAnswer, ending: Ending, clockS: () => number): () => void {
  const stopNotes = sayNotes(session);
  let lastS = -Infinity;
  let lastState = '';
  const stop = session.onNeedles((needles) => {
    const nowS = clockS();
    if (nowS - lastS < jsonEveryS && needles.state === lastState) return;
    // a reader that does not keep up loses lines, not memory
    if (process.stdout.writableLength > 1 << 20) return;
    lastS = nowS;
    lastState = needles.state;
    const carries = carried.kinds();
    printJson({
      ...needlesJson(needles, session.source, session.link().words, wallClockS()),
      ...(carries.length > 0 && { carries }),
    });
  });
  process.stdout.on('close', () => ending.now(exitCode.done));
  return () => {
    stop();
    stopNotes();
  };
}

async function showPeople(
  session: LiveSession,
  { carried, coming }: { carried: CarriedAnswer; coming?: ComingStep },
  options: WatchOptions,
  ending: Ending,
  practice: Practice,
): Promise<() => Promise<void>> {
  const isScreen = process.stdout.isTTY && process.stdin.isTTY;
  const notes: string[] = [];
  const show = (text: string): void => {
    if (isScreen && !text.includes('\n')) notes.push(text);
    else say(text);
  };
  let code = '';
  let isScreenUp = false;
  const onCode = ({ words, picture }: CodeShown): void => {
    code = words;
    if (!isScreenUp) say(`${picture}\n${words}`);
  };
  const onHands = (): void => practice.person();
  const page = options.page ? await openPage(session, options, { carried, coming, show, onHands, onCode }) : undefined;
  if (page && !isScreen) say(`Page: ${page.url}`);
  // who asked for a port or for sharing waits for it with another device in hand
  const isMissed = options.page && !page && (options.share === true || options.pagePort !== undefined);
  if (isScreen && isMissed) say(notes.join('\n'));
  if (isScreen && (code !== '' || isMissed)) await enterOrEnd(ending);
  isScreenUp = isScreen;
  const view = isScreen
    ? new WatchScreen(session, {
        look: options.look,
        notes: () => [carried.words(), ...notes, code].filter((note) => note !== ''),
        page: page?.url ?? (options.page ? 'NO PAGE' : ''),
        practice,
        next: () => (coming ? `${coming.title} ${coming.reason}`.trim() : ''),
        onTurn: () => carried.nudgeBegins(true),
        lock: lockFollower(session, carried),
        onEnd: (reason) => ending.now(reason === 'left' ? exitCode.done : exitCode.interrupted),
      })
    : new PlainLines(session, practice);
  return async () => {
    view.close();
    await page?.close();
  };
}

/** A locking that was watched on the needles goes into the log, and is remembered of a real mount. */
function lockFollower(session: LiveSession, carried: CarriedAnswer): LockFollower {
  // what cannot be written is told where a person acts; the needles go on
  const quietly = (saving: Promise<unknown>): void => void saving.catch(() => {});
  return {
    lockBegins: () => carried.nudgeBegins(),
    locked: (shift, words) => {
      const seen = seenOf(shift);
      quietly(carried.shifted(seen, 'locking', words));
      const { site } = session;
      if (!session.virtual && site) quietly(keepLocking(seen, session.clipping ?? {}, site, new Date()));
    },
    lockLeft: () => {
      const now = session.latest();
      if (now) quietly(carried.nudgeEnds(now));
    },
  };
}

/** Leaves time to read the QR code before the needles take the screen. */
async function enterOrEnd(ending: Ending): Promise<void> {
  say('Enter goes on to the needles.');
  const pressed = new Promise<void>((resolve) => process.stdin.once('data', () => resolve()));
  process.stdin.resume();
  await Promise.race([pressed, ending.wait(undefined)]);
  process.stdin.pause();
}

/** The page is a second face: when it cannot be served the needles go on in the terminal, and say so. */
async function openPage(
  session: LiveSession,
  { pagePort, share, look }: WatchOptions,
  tell: {
    carried: CarriedAnswer;
    coming?: ComingStep;
    show: (text: string) => void;
    onHands: () => void;
    onCode: (shown: CodeShown) => void;
  },
): Promise<PageServer | undefined> {
  try {
    const { startPage } = await import('../web/startPage.ts');
    return await startPage(session, { port: pagePort, share, look: look === 'day' ? 'day' : 'dark', ...tell });
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    tell.show(`No page: ${error.message} ${error.whatToDo}`);
    return undefined;
  }
}
