import type { Command } from 'commander';
import { addSiteOptions } from './siteOptions.ts';
import type { EnoughOptions } from './runEnough.ts';

export function register(program: Command): void {
  addSiteOptions(program.command('enough'))
    .description("Whether the polar axis is good enough for tonight's plan: drift and field rotation, with the odds.")
    .option('--exposure <s>', 'length of one exposure in seconds')
    .option('--focal <mm>', 'focal length in millimetres')
    .option('--pixel <um>', 'size of a pixel in micrometres')
    .option('--dec <angle>', 'declination of the target (default: 0)')
    .option('--smear <pixels>', 'how far a star may smear', '1')
    .option('--sensor <mm>', 'width x height of the sensor in millimetres', '23.5x15.7')
    .option('--guided', 'a guide star takes out the drift; the field still turns')
    .option('--field <arcmin>', 'for the eye: true field of the eyepiece')
    .option('--minutes <min>', 'for the eye: how long the target should stay in it')
    .option('--distance <arcmin>', "the axis' distance from the pole (default: tonight's answer)")
    .option('--give-or-take <arcmin>', 'its uncertainty as the screen shows it: two standard deviations')
    .option('--sigma <arcmin>', 'instead, one standard deviation, as in JSON')
    .option('--json', 'one JSON object on stdout')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole enough --exposure 120 --focal 400 --pixel 3.8 --dec 24d --distance 6 --give-or-take 4\n' +
        '  lodepole enough --field 40 --minutes 60',
    )
    .action(async (options: EnoughOptions) => {
      const { runEnough } = await import('./runEnough.ts');
      process.exitCode = await runEnough(options);
    });
}
