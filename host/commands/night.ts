import type { Command } from 'commander';
import type { NightOptions } from './runNight.ts';

export function register(program: Command): void {
  program
    .command('night')
    .description('The log of this night: what was measured when, before and after locking, and the answer from it all.')
    .option('--virtual <scene>', 'instead, rehearse a whole night in an invented scene: orchard or woolshed')
    .option('--seed <number>', 'with --virtual: each number gives another night', '1')
    .option('--at <utc>', 'with --virtual: when it begins; now: when it is next dark there', 'now')
    .option('--html <file>', 'write a page to print')
    .option('--json', 'one JSON object on stdout')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole night\n  lodepole night --html night.html\n  lodepole night --virtual orchard --seed 4 --at 2027-01-15T04:00Z\n' +
        'A rehearsed night runs as fast as possible and does not touch the log of the real one.',
    )
    .action(async (options: NightOptions) => {
      const { runNight } = await import('./runNight.ts');
      process.exitCode = await runNight(options);
    });
}
