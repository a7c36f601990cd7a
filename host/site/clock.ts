import { execFile } from 'node:child_process';
import { promisify } from 'node:util';

/** No honest clock shows a time before this version was made. */
export const madeUtc = new Date('2026-11-01T00:00:00Z');

const run = promisify(execFile);

/** Whether the system says that its clock is kept right by a time server or GPS; undefined where it does not say. */
async function synchronised(): Promise<boolean | undefined> {
  try {
    const { stdout } = await run('timedatectl', ['show', '--property=NTPSynchronized', '--value'], { timeout: 1000 });
    return stdout.trim() === 'yes';
  } catch {
    return undefined;
  }
}

/** What to tell the user about the clock, as sentences; empty when there is nothing to say. One second of clock is a quarter of an arcminute of sky. */
export async function clockCautions(
  now = new Date(),
  isSynchronised: () => Promise<boolean | undefined> = synchronised,
): Promise<string[]> {
  if (now < madeUtc) {
    return [
      `The clock shows ${now.toISOString().slice(0, 16)}Z, which is before this program was made: set it, or the sky will be wrong.`,
    ];
  }
  if ((await isSynchronised()) === false) {
    return [
      'The clock is not synchronised: compare it with a time signal. An error of one second turns the sky by 0.25 arcminute.',
    ];
  }
  return [];
}
