import { readFile, writeFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { printResult, say } from '../output.ts';
import { texts } from './words/board.ts';

/** The rules that `--udev install` installs. */
export const udevRulesOfOurs = fileURLToPath(new URL('../../firmware-proto/60-lodepole.rules', import.meta.url));
export const udevRuleFile = '/etc/udev/rules.d/60-lodepole.rules';

/** Prints the rule that gives access to the boards, or installs it where this user may. Returns the exit code. */
export async function runUdev(what: string, target = udevRuleFile): Promise<ExitCode> {
  const text = await readFile(udevRulesOfOurs, 'utf8');
  if (what === 'print') {
    printResult(text.trimEnd());
    return exitCode.done;
  }
  if (what !== 'install')
    throw new Failure(
      exitCode.usage,
      `"${what}" is neither print nor install.`,
      'Use --udev print, or --udev install.',
    );
  try {
    await writeFile(target, text);
  } catch (error) {
    throw new Failure(
      exitCode.inputOutput,
      `${target} cannot be written: this needs administrator rights.`,
      `Run: sudo cp ${udevRulesOfOurs} ${target} && sudo udevadm control --reload && sudo udevadm trigger`,
      { cause: error },
    );
  }
  say(texts.ruleInstalled(target));
  return exitCode.done;
}
