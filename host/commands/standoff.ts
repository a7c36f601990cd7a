import type { Command } from 'commander';
import { cautions } from '../words/cautions.ts';
import type { StandoffCommandOptions } from './runStandoff.ts';
import { addClippingOptions } from '../store/clipping.ts';
import { addStepOptions } from './stepOptions.ts';

export function register(program: Command): void {
  addClippingOptions(addStepOptions(program.command('standoff')))
    .description('Measure iron below the clip: rests on spacers of growing length, extrapolated to no iron at all.')
    .option('--spacers <millimetres>', 'spacer lengths in the order of the rests', '0,50,100')
    .option(
      '--keep [millimetres]',
      'save the deviation with the site, for a board that stays on this spacer (default: 0)',
    )
    .option(
      '--iron <microtesla>',
      'with --virtual: iron that the hands clamp below the clip first (default: 1.5; 0: none)',
    )
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole standoff --virtual orchard --iron 8\n' +
        '  lodepole standoff --spacers 0,60,120 --keep 120\n' +
        '  lodepole standoff --from standoff.csv --spacers 0,50,100 --calibration board.json --lat -33.5 --lon 148\n' +
        `Use spacers of wood or plastic. Do not turn or tilt the board when you change them. ${cautions.magnetic}`,
    )
    .action(async (options: StandoffCommandOptions) => {
      const { runStandoff } = await import('./runStandoff.ts');
      process.exitCode = await runStandoff(options);
    });
}
