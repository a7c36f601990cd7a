import { writeFile } from 'node:fs/promises';
import { writeFault } from '../fileFault.ts';
import { exitCode, type ExitCode } from '../failure.ts';
import { cardCautions, cardHtml, cardSteps } from '../night/card.ts';
import { printJson, printResult } from '../output.ts';
import { wrapped } from '../words/wrapForTerminal.ts';

export interface CardOptions {
  html?: string;
  json?: boolean;
}

/** The `card` command. */
export async function runCard({ html, json }: CardOptions): Promise<ExitCode> {
  if (html !== undefined) {
    await writeFile(html, cardHtml()).catch((error: unknown) => {
      throw writeFault(html, error);
    });
  }
  if (json) {
    printJson({ kind: 'card', cautions: cardCautions, steps: cardSteps });
    return exitCode.done;
  }
  for (const caution of cardCautions) printResult(wrapped(`Caution: ${caution}`, process.stdout));
  cardSteps.forEach(({ what, command }, index) => {
    const number = `${index + 1}.`.padEnd(4);
    printResult(wrapped(`${number}${what}`, process.stdout, number.length));
    printResult(`    ${command}`);
  });
  return exitCode.done;
}
