import { hasBegun, isNoted } from './nightEntry.ts';
import type { StepOfNight } from './stepsOfNight.ts';
import { keepInNight, loadNight } from './nightFile.ts';

/** Puts a finished step into the log of tonight, for what comes next and for the night sheet. Throws Failure when it cannot be written. */
export async function noteStep(step: StepOfNight, words: string): Promise<void> {
  await keepInNight({ kind: 'note', timeUtc: new Date().toISOString(), words, step });
}

/** The night goes on to observing; not before anything was measured, since sides can be looked up at any time. */
export async function noteObserving(words: string): Promise<void> {
  const { entries } = await loadNight();
  if (hasBegun(entries)) await noteOnce('observe', words);
}

/** The same, but once after each measurement or move of the axis, however often it is asked for. */
export async function noteOnce(step: StepOfNight, words: string): Promise<void> {
  const { entries } = await loadNight();
  if (!isNoted(entries, step)) await noteStep(step, words);
}
