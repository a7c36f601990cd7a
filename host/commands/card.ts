import type { Command } from 'commander';
import type { CardOptions } from './runCard.ts';

export function register(program: Command): void {
  program
    .command('card')
    .description('The steps of an evening on one sheet in large type, to print and take along.')
    .option('--html <file>', 'write a page to print')
    .option('--json', 'one JSON object on stdout')
    .addHelpText('after', '\nExamples:\n  lodepole card\n  lodepole card --html card.html')
    .action(async (options: CardOptions) => {
      const { runCard } = await import('./runCard.ts');
      process.exitCode = await runCard(options);
    });
}
