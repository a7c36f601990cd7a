import type { Command } from 'commander';
import type { NudgeOptions } from './runNudge.ts';
import { addSiteOptions } from './siteOptions.ts';

export function register(program: Command): void {
  addSiteOptions(program.command('nudge'))
    .description('Where to bring a star in the eyepiece with the bolts, so that the axis points to the pole.')
    .option('--star <name>', 'the star that is centred, the drive running; without it the best one is taken')
    .option('--at <utc>', 'time at which the star is centred', 'now')
    .option('--altitude-error <arcmin>', "altitude error of the axis, too high positive (default: tonight's answer)")
    .option('--azimuth-error <arcmin>', "azimuth error, too far east positive (default: tonight's answer)")
    .option(
      '--to <altitude,azimuth>',
      'bring the axis to these errors instead of to the pole, as before locking (arcmin)',
    )
    .option('--field <arcmin>', 'true field of the eyepiece; a longer way is split into steps')
    .option('--division <arcsec>', 'also give places in divisions of a reticle of this size')
    .option('--pixel-scale <arcsec>', 'also give places in pixels of this size')
    .option('--mirrored', 'the picture is mirrored, as by a diagonal')
    .option('--read <north,east>', 'where the star stands after the bolts were turned: saved in the log of this night')
    .option('--list', 'only list the stars that show both bolts best from here')
    .option('--json', 'one JSON object on stdout')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole nudge --star altair --altitude-error 12 --azimuth-error -30 --division 12\n' +
        'After sights or a drift tonight, leave out the two errors:\n' +
        '  lodepole nudge --list --field 40\n  lodepole nudge --star altair --field 40 --mirrored\n' +
        '  lodepole nudge --star altair --field 40 --read=11,-4.5\n' +
        'A place in the field is in arcminutes north and east of the centre. --read takes divisions or pixels where their size is given.',
    )
    .action(async (options: NudgeOptions) => {
      const { runNudge } = await import('./runNudge.ts');
      process.exitCode = await runNudge(options);
    });
}
