import { decisive, type Gate } from '../../calibration/gate.ts';
import { exitCode, type ExitCode } from '../failure.ts';
import { printJson, printResult } from '../output.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { rounded } from '../words/figures.ts';
import { gateWords } from '../words/gate.ts';

/**
 * Prints a finished measurement, as one JSON object or in words with the gates that are not ok, and gives the exit code. A
 * refusal comes before the words, which then hold nothing to act on.
 */
export function tellResult(
  kind: string,
  { accepted, gates }: { accepted: boolean; gates: readonly Gate[] },
  result: Record<string, unknown>,
  words: readonly string[],
  asJson: boolean | undefined,
): ExitCode {
  const deciding = decisive(gates);
  if (asJson) {
    const shown = gates.map((gate) => ({ ...gate, value: rounded(gate.value), limit: rounded(gate.limit) }));
    printJson({
      kind,
      accepted,
      reason: deciding ? gateWords(deciding) : '',
      ...result,
      words: words.join(' '),
      gates: shown,
    });
  } else {
    const said = (verdict: Gate['verdict'], before: string): string[] =>
      gates.filter((gate) => gate.verdict === verdict).map((gate) => `${before}: ${gateWords(gate)}`);
    for (const line of [...said('stop', 'REFUSED'), ...words, ...said('caution', 'Caution')]) {
      printResult(wrapped(line, process.stdout));
    }
  }
  return accepted ? exitCode.done : exitCode.refused;
}
