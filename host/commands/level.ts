import type { Command } from 'commander';
import { addStepOptions, type StepOptions } from './stepOptions.ts';

export function register(program: Command): void {
  addStepOptions(program.command('level'))
    .description('Tilt of the base by reversal, what one adjuster does to the other axis, and what to do about it.')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole level --virtual orchard\n  lodepole level --from level.csv --lat 46.43 --lon -118.6\n' +
        'The board lies flat on the base, z upward: first x toward north, then turned by half a turn, two seconds each.',
    )
    .action(async (options: StepOptions) => {
      const { runLevel } = await import('./runLevel.ts');
      process.exitCode = await runLevel(options);
    });
}
