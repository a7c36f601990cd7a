import { spawn, type ChildProcessWithoutNullStreams } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { inject } from 'vitest';
import { exitCode } from '../../host/failure.ts';
import { isPlain, runHere } from './inProcess.ts';

/** The program as a person starts it in a checkout. */
export const fromSources = fileURLToPath(new URL('../../host/start.mjs', import.meta.url));
/** The same in the bundle that was made for these tests. */
export const bundled = inject('program') ?? fromSources;

export interface Ran {
  code: number | null;
  stdout: string;
  stderr: string;
}

/** Starts the program with what it keeps in `home`. */
export const start = (home: string, words: readonly string[], entry = bundled): ChildProcessWithoutNullStreams =>
  spawn(process.execPath, [entry, ...words], { env: { ...process.env, LODEPOLE_HOME: home, NO_COLOR: '1' } });

/** Waits for its end. */
export function endOf(child: ChildProcessWithoutNullStreams): Promise<Ran> {
  let [stdout, stderr] = ['', ''];
  child.stdout.on('data', (bytes: Buffer) => (stdout += bytes.toString()));
  child.stderr.on('data', (bytes: Buffer) => (stderr += bytes.toString()));
  return new Promise((resolve) => child.on('close', (code) => resolve({ code, stdout, stderr })));
}

/** A command that needs no process of its own gets none, which takes a tenth of the time. */
export const run = (home: string, words: readonly string[], entry = bundled): Promise<Ran> =>
  entry === bundled && isPlain(words) ? runHere(home, words) : endOf(start(home, words, entry));

/** The same with a board, which may take more than one grace of three seconds to answer on an overloaded machine. */
export async function runOnBoard(home: string, words: readonly string[], tries = 6): Promise<Ran> {
  const ran = await run(home, words);
  return ran.code === exitCode.noBoard && tries > 1 ? runOnBoard(home, words, tries - 1) : ran;
}
