import { exitCode, type ExitCode } from '../failure.ts';
import { openSession, type SessionOptions } from '../live/openSession.ts';
import { practise } from '../live/practice.ts';
import type { LiveSession, Needles } from '../live/session.ts';
import { carriedBy, carryOn } from '../night/carriedAnswer.ts';
import { ComingStep } from '../night/comingStep.ts';
import { areHome, needlesHomeWords } from '../night/needlesHome.ts';
import { noteOnce } from '../night/noteStep.ts';
import { say } from '../output.ts';
import { quietKeys } from '../terminal/quietKeys.ts';
import { recordSession } from './recordSession.ts';
import { WatchEnding } from './watchEnding.ts';
import { showPeople, type FaceOptions } from './watchFaces.ts';
import { showJson, wallClockS } from './watchJson.ts';

interface WatchOptions extends SessionOptions, FaceOptions {
  seconds?: number;
  record?: string;
  json?: boolean;
}

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
  const ending = new WatchEnding();
  const loudAgain = process.stdin.isTTY && !options.json ? quietKeys(process.stdin) : () => {};
  const { session, start, ended, clockS = wallClockS } = await open().finally(loudAgain);
  const closers: (() => unknown)[] = [() => session.close()];
  try {
    const recording = options.record === undefined ? undefined : await recordSession(session, options.record);
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
