import type { Command } from 'commander';
import { addClippingOptions } from '../store/clipping.ts';
import { cautions } from '../words/cautions.ts';
import { addStepOptions } from './stepOptions.ts';
import type { SwingCommandOptions } from './runSwing.ts';

export function register(program: Command): void {
  addClippingOptions(addStepOptions(program.command('swing')))
    .description(
      'Find the polar axis in the board and its errors, by turning the right-ascension axis from rest to rest.',
    )
    .option('--reversed [file]', 'a second swing, the board clipped on end for end; with --from: its file')
    .option('--fixed', 'nothing turns: the board in its clip and end for end stands in for the swing')
    .option(
      '--toward <direction>',
      'where no site is known: the board direction that points to the elevated pole, +x, -y ...',
    )
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole swing --virtual orchard\n  lodepole swing --from swing.csv --calibration board.json --lat 46.43 --lon -118.6\n' +
        'Turn through 90 degrees or more, eight rests of two seconds; with a noisy chip, as long as the program asks. In a file, rows half a second\n' +
        'or more apart, or without t_s, count as one rest each.\n' +
        `${cautions.clutch}\n${cautions.counterweight}\n${cautions.magnetic}`,
    )
    .action(async (options: SwingCommandOptions) => {
      const { runSwing } = await import('./runSwing.ts');
      process.exitCode = await runSwing(options);
    });
}
