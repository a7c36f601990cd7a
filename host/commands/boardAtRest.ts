import { exitCode, Failure } from '../failure.ts';
import { isAtRest, type LiveSession } from '../live/session.ts';
import { texts } from './words/atRest.ts';

const patienceMs = 10_000;

/** Asks until there is an answer. Throws Failure when there is none in time. */
export async function waitFor<T>(ask: () => T | undefined, what: string): Promise<T> {
  const limit = performance.now() + patienceMs;
  while (performance.now() < limit) {
    const answer = ask();
    if (answer !== undefined) return answer;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Failure(exitCode.noBoard, what, 'Let the mount rest. If that does not help: lodepole board');
}

export const firstModel = (session: LiveSession) => waitFor(() => session.axisModel(), texts.noHello);

export const needlesAtRest = (session: LiveSession) =>
  waitFor(() => {
    const needles = session.latest();
    return needles && isAtRest(needles) ? needles : undefined;
  }, texts.noRest);
