import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { nextAfter, nextStep, nextWords } from '../night/next.ts';
import { stepOrder, type StepOfNight } from '../night/stepsOfNight.ts';
import { keptTonight } from '../night/tonight.ts';
import { printJson, printResult, say } from '../output.ts';
import { wrapped } from '../words/wrapForTerminal.ts';

export interface NextOptions {
  json?: boolean;
}

/** The `next` command. */
export async function runNext({ json }: NextOptions): Promise<ExitCode> {
  const { step, reason, command } = nextStep(await keptTonight());
  if (json) printJson({ kind: 'next', step, reason, command });
  else {
    printResult(wrapped(reason, process.stdout));
    printResult(`  ${command}`);
  }
  return exitCode.done;
}

/** Steps by the command that does them. */
const stepOfCommand: Readonly<Record<string, StepOfNight>> = {
  watch: 'needles',
  load: 'balance',
  side: 'observe',
  night: 'sheet',
};

/** Says at the end of a command what comes next; what cannot be read must not spoil what was done. */
export async function sayNext(command: string, virtual: string | undefined): Promise<void> {
  try {
    const step = stepOfCommand[command] ?? stepOrder.find((name) => name === command);
    const coming = virtual === undefined ? nextStep(await keptTonight()) : step && nextAfter(step, virtual);
    if (coming) say(nextWords(coming));
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
  }
}
