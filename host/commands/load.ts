import type { Command } from 'commander';
import type { ShiftOptions } from './measureShift.ts';
import { addShiftOptions } from './shiftOptions.ts';

export function register(program: Command): void {
  addShiftOptions(program.command('load'))
    .description('How far tube, weights and camera move the axis as they go on: remembered for the mount and the load.')
    .option('--name <load>', 'your own name for what goes on', 'instrument')
    .option('--list', 'only list the loads that are remembered')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole load --name refractor\n  lodepole load --name refractor --star altair --read=1.5,-2\n' +
        '  lodepole load --name refractor --ahead\n' +
        'The board rests before and after. Use --ahead before it goes on: it shows what the load did before, and how far to offset the axis.\n' +
        'Weights go on first and come off last. Hold the tube until its clamp is tight.',
    )
    .action(async (options: ShiftOptions & { name: string }) => {
      const { runShift } = await import('./runShift.ts');
      process.exitCode = await runShift({ load: options.name }, options);
    });
}
