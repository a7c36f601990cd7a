import type { Command } from 'commander';
import type { NextOptions } from './runNext.ts';

export function register(program: Command): void {
  program
    .command('next')
    .description('The next sensible step of this evening, and why: from what was done tonight and how old it is.')
    .option('--mount <name>', 'the mount whose locking is remembered, where you have several')
    .option('--json', 'one JSON object on stdout')
    .addHelpText(
      'after',
      '\nExample:\n  lodepole next\nIt recommends and never blocks: every other command works at any time.',
    )
    .action(async (options: NextOptions) => {
      const { runNext } = await import('./runNext.ts');
      process.exitCode = await runNext(options);
    });
}
