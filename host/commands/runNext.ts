import { arcminute } from '../../calibration/angle.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { nextAfter, nextStep, nextWords } from '../night/next.ts';
import { stepOrder, type NextStep, type StepOfNight } from '../night/stepsOfNight.ts';
import { keptTonight } from '../night/tonight.ts';
import { printJson, printResult, say } from '../output.ts';
import { rounded } from '../words/figures.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { texts } from './words/next.ts';

export interface NextOptions {
  json?: boolean;
  mount?: string;
}

/** The `next` command. */
export async function runNext({ json, mount }: NextOptions): Promise<ExitCode> {
  const { step, reason, command, expected } = await nextTonight(mount);
  if (json) {
    const distances = expected && {
      expectedNowArcmin: rounded(expected.nowRad / arcminute, 3),
      expectedAfterArcmin: rounded(expected.afterRad / arcminute, 3),
    };
    printJson({ kind: 'next', step, reason, command, ...distances });
  } else {
    printResult(wrapped(reason, process.stdout));
    printResult(`  ${command}`);
    if (step === 'site' || step === 'tumble') printResult(wrapped(texts.noBoardYet, process.stdout));
  }
  return exitCode.done;
}

/** Steps whose commands keep what they find by the name of the mount. */
const byMount: ReadonlySet<NextStep['step']> = new Set(['swing', 'needles', 'load', 'sight', 'lock']);

/** What comes next by the log of tonight, its command with the mount's name. */
async function nextTonight(mount: string | undefined): Promise<NextStep> {
  const coming = nextStep(await keptTonight(new Date(), { mount }));
  if (mount === undefined || !byMount.has(coming.step)) return coming;
  return { ...coming, command: `${coming.command} --mount "${mount}"` };
}

/** Steps by the command that does them. */
const stepOfCommand: Readonly<Record<string, StepOfNight>> = {
  watch: 'needles',
  side: 'observe',
  night: 'sheet',
};

/** Says at the end of a command what comes next; what cannot be read must not spoil what was done. */
export async function sayNext(
  command: string,
  { virtual, mount }: { virtual?: string; mount?: string },
): Promise<void> {
  try {
    const step = stepOfCommand[command] ?? stepOrder.find((name) => name === command);
    const coming = virtual === undefined ? await nextTonight(mount) : step && nextAfter(step, virtual);
    if (coming) say(nextWords(coming));
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
  }
}
