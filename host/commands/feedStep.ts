import { createInterface } from 'node:readline';
import { exitCode, Failure } from '../failure.ts';
import type { BoardSample } from '../link/boardSample.ts';
import type { LiveSession } from '../live/session.ts';
import { say } from '../output.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { showMeter } from './meter.ts';
import { texts } from './words/feed.ts';

export interface Feeding {
  offer(sample: BoardSample): void;
  /** One line: how far, and what to do now. */
  words(): string;
  /** The person typed a line; true ends the feeding. */
  onLine(line: string): boolean;
  /** Without a person at the keyboard: true once there is enough. */
  isEnough(): boolean;
  /** What the virtual hands do when nobody is there to do it. */
  hands?: (session: LiveSession) => Promise<void>;
}

/** Nobody waits for ever for a board that lies still. */
const longestS = 600;

/**
 * Feeds a step with live samples until the person is done, or without a person until there is enough. Says each new instruction
 * once, on stderr. Throws Failure when interrupted or when nothing comes of it.
 */
export async function feedStep(session: LiveSession, feeding: Feeding, withHands: boolean): Promise<void> {
  const isPerson = process.stdin.isTTY && !withHands;
  let said = '';
  let end: (failure?: Failure) => void = () => {};
  const ended = new Promise<void>((resolve, reject) => {
    end = (failure) => (failure ? reject(failure) : resolve());
  });
  let readings = 0;
  const stopSamples = session.onSample((sample) => {
    readings += 1;
    feeding.offer(sample);
  });
  const hands = withHands ? session.virtual?.hands : undefined;
  if (hands) say(texts.nothingToPress);
  const meter = showMeter(() => [texts.readings(readings), ...(hands ? [texts.hands(hands.words())] : [])].join('; '));
  const lines = isPerson ? createInterface({ input: process.stdin }) : undefined;
  lines?.on('line', (line) => {
    try {
      if (feeding.onLine(line.trim())) end();
    } catch (error) {
      end(error as Failure);
    }
  });
  const ticker = setInterval(() => {
    const words = feeding.words();
    if (words !== said) meter.above(() => say(wrapped(words, process.stderr)));
    said = words;
    if (!isPerson && !withHands && feeding.isEnough()) end();
  }, 200);
  const interrupt = (): void => end(new Failure(exitCode.interrupted, 'Interrupted.', 'Nothing was kept.'));
  const patience = setTimeout(
    () =>
      end(
        new Failure(
          exitCode.refused,
          `Not enough was measured in ${longestS / 60} minutes. ${feeding.words()}`,
          'Begin again. What you kept before is unchanged.',
        ),
      ),
    longestS * 1000,
  );
  process.once('SIGINT', interrupt);
  if (withHands) feeding.hands?.(session).then(() => end(), end);
  try {
    await ended;
  } finally {
    process.off('SIGINT', interrupt);
    clearTimeout(patience);
    clearInterval(ticker);
    meter.end();
    lines?.close();
    stopSamples();
  }
}
