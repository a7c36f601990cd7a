import type { Command } from 'commander';
import type { ShiftOptions } from './measureShift.ts';
import { addShiftOptions } from './shiftOptions.ts';

export function register(program: Command): void {
  addShiftOptions(program.command('lock'))
    .description('How far locking the bolts moves the axis: by the board at rest before and after, or by a star.')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole lock\n  lodepole lock --star altair --field 40 --read=1.5,-2\n  lodepole lock --ahead\n' +
        'With --star: centre it with the drive running, lock, and give where it stands north and east of the centre.\n' +
        'What locking does to this mount is remembered. Mind your fingers at the latitude bolt under load.',
    )
    .action(async (options: ShiftOptions) => {
      const { runShift } = await import('./runShift.ts');
      process.exitCode = await runShift('locking', options);
    });
}
