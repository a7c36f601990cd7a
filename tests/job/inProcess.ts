import { Command } from 'commander';
import { vi } from 'vitest';
import { exitCode, Failure } from '../../host/failure.ts';
import type { Ran } from './lodepole.ts';

/** One command without a process of its own, its options read as the program reads them, with what is kept in `home`. */
export async function runHere(
  home: string,
  register: (program: Command) => void,
  words: readonly string[],
): Promise<Ran> {
  const ran: Ran = { code: 0, stdout: '', stderr: '' };
  const caught = (['stdout', 'stderr'] as const).map((stream) =>
    vi.spyOn(process[stream], 'write').mockImplementation((text) => {
      ran[stream] += String(text);
      return true;
    }),
  );
  const before = [process.exitCode, process.env.LODEPOLE_HOME] as const;
  try {
    process.env.LODEPOLE_HOME = home;
    const program = new Command('lodepole').exitOverride();
    register(program);
    await program.parseAsync(['node', 'lodepole', ...words]);
    ran.code = Number(process.exitCode ?? 0);
  } catch (error) {
    if (error instanceof Failure) {
      ran.code = error.code;
      ran.stderr += `${error.message}\n${error.whatToDo}\n`;
    } else if ((error as { code?: string }).code?.startsWith('commander.')) ran.code = exitCode.usage;
    else throw error;
  } finally {
    process.exitCode = before[0];
    if (before[1] === undefined) delete process.env.LODEPOLE_HOME;
    else process.env.LODEPOLE_HOME = before[1];
    for (const spy of caught) spy.mockRestore();
  }
  return ran;
}
