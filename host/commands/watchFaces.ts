import { exitCode, Failure } from '../failure.ts';
import type { Practice } from '../live/practice.ts';
import type { LiveSession } from '../live/session.ts';
import type { CarriedAnswer } from '../night/carriedAnswer.ts';
import type { ComingStep } from '../night/comingStep.ts';
import { say } from '../output.ts';
import { seenOf } from '../steps/lockStep.ts';
import { keepLocking } from '../store/lockings.ts';
import type { LockFollower } from '../terminal/lockCheck.ts';
import type { LookName } from '../terminal/look.ts';
import { PlainLines } from '../terminal/plainLines.ts';
import { WatchScreen } from '../terminal/watchScreen.ts';
import type { CodeShown } from '../web/share.ts';
import type { PageServer } from '../web/startPage.ts';
import type { WatchEnding } from './watchEnding.ts';
import { texts } from './words/watch.ts';

export interface FaceOptions {
  look: LookName;
  /** False: no page. */
  page: boolean;
  pagePort?: number;
  share?: boolean;
}

/** The needles for a person: screen or plain lines in the terminal, and the page. Gives what closes them. */
export async function showPeople(
  session: LiveSession,
  { carried, coming }: { carried: CarriedAnswer; coming?: ComingStep },
  options: FaceOptions,
  ending: WatchEnding,
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
async function enterOrEnd(ending: WatchEnding): Promise<void> {
  say(texts.enterGoesOn);
  const pressed = new Promise<void>((resolve) => process.stdin.once('data', () => resolve()));
  process.stdin.resume();
  await Promise.race([pressed, ending.wait(undefined)]);
  process.stdin.pause();
}

/** The page is a second face: when it cannot be served the needles go on in the terminal, and say so. */
async function openPage(
  session: LiveSession,
  { pagePort, share, look }: FaceOptions,
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
    tell.show(texts.noPage(error.message, error.whatToDo));
    return undefined;
  }
}
