import type { Command } from 'commander';
import type { ShiftOptions } from './measureShift.ts';
import { addShiftOptions } from './shiftOptions.ts';

export function register(program: Command): void {
  addShiftOptions(program.command('load'))
    .description('What tube, weights and camera do to the axis as they go on: remembered for the mount and the load.')
    .option('--name <load>', 'what goes on, in a word of yours', 'instrument')
    .option('--list', 'only name the loads that are remembered')
    .addHelpText(
      'after',
      '\nExample:\n  lodepole load --name refractor\n  lodepole load --name refractor --star altair --read=1.5,-2\n' +
        '  lodepole load --name refractor --ahead\n' +
        'The board rests before and after. --ahead tells before it goes on what it did last times, and where to stand off.\n' +
        'Weights go on first and come off last. Hold the tube until its clamp is tight.',
    )
    .action(async (options: ShiftOptions & { name: string }) => {
      const { runShift } = await import('./runShift.ts');
      process.exitCode = await runShift({ load: options.name }, options);
    });
}
