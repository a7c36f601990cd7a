import { vi } from 'vitest';
import type { Ran } from './lodepole.ts';

/** What runs until it is stopped, drives a board or asks the process itself for something. */
const needsProcess = /^(?:watch|replay|board|rehearse)$/;

/** What virtual hands do from its beginning to its end, without a key or a line from a person. */
const isLeftToHands = (words: readonly string[]): boolean =>
  /^(?:night|level|load|lock)$/.test(words[0]) || (words[0] === 'drift' && words.includes('--json'));

/** A command line that reads what it is given, answers and ends. */
export const isPlain = (words: readonly string[]): boolean =>
  words.length > 0 &&
  !/^-(?!-help|-version)/.test(words[0]) &&
  !needsProcess.test(words[0]) &&
  !words.some((word) => /^--(?:port|gps-port)\b/.test(word)) &&
  (!words.includes('--virtual') || isLeftToHands(words)) &&
  (!/^(?:tumble|swing|level|standoff|sight|drift|lock|load)$/.test(words[0]) ||
    words.some((word) => /^(?:--(?:from|list|help|read|virtual)|-h)\b/.test(word)));

let last: Promise<unknown> = Promise.resolve();

/** One command line by the program itself, without a process of its own, with what is kept in `home`. One at a time. */
export function runHere(home: string, words: readonly string[]): Promise<Ran> {
  const ran = last.then(() => runAlone(home, words));
  last = ran.catch(() => {});
  return ran;
}

async function runAlone(home: string, words: readonly string[]): Promise<Ran> {
  const { runProgram } = await import('../../host/program.ts');
  const ran: Ran = { code: 0, stdout: '', stderr: '' };
  const caught = (['stdout', 'stderr'] as const).map((stream) =>
    vi.spyOn(process[stream], 'write').mockImplementation((text) => {
      ran[stream] += String(text);
      return true;
    }),
  );
  // the library of completions prints by the console
  const printed = vi.spyOn(console, 'log').mockImplementation((...words) => {
    ran.stdout += `${words.join(' ')}\n`;
  });
  const { LODEPOLE_HOME, NO_COLOR } = process.env;
  const { exitCode } = process;
  try {
    Object.assign(process.env, { LODEPOLE_HOME: home, NO_COLOR: '1' });
    process.exitCode = undefined;
    await runProgram(words);
    ran.code = Number(process.exitCode ?? 0);
  } finally {
    process.exitCode = exitCode;
    for (const [name, value] of Object.entries({ LODEPOLE_HOME, NO_COLOR })) {
      if (value === undefined) delete process.env[name];
      else process.env[name] = value;
    }
    for (const spy of [...caught, printed]) spy.mockRestore();
  }
  return ran;
}
