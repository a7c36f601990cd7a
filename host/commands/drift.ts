import type { Command } from 'commander';
import { addSiteOptions } from './siteOptions.ts';
import type { DriftOptions } from './runDrift.ts';

export function register(program: Command): void {
  addSiteOptions(program.command('drift'))
    .description('Watch one or two stars drift north or south while the drive runs; gives the errors of the axis.')
    .option('--from <file>', 'readings from a CSV: star,utc,north or star,t_s,north')
    .option('--star <name>', 'watch this star and type each reading')
    .option('--at <utc>', 'when t_s was 0; with --list or --virtual, the time to plan for', 'now')
    .option('--division <arcsec>', 'readings are divisions of a reticle of this size')
    .option('--field <arcmin>', 'readings are parts of a true field of this size')
    .option('--pixel-scale <arcsec>', 'readings are pixels of this size')
    .option('--error <reading>', 'uncertainty of one reading (one standard deviation), in the unit of the readings')
    .option('--list', 'only list the best stars to watch from here, for azimuth and for altitude')
    .option('--keep', 'with --from: save the result in the log of this night')
    .option('--minutes <min>', 'length of a watch, for --list and for virtual hands', '5')
    .option(
      '--virtual <scene>',
      'practise in an invented scene, orchard or woolshed: with virtual hands, or with --star and your own',
    )
    .option('--seed <number>', 'with --virtual: each number gives another virtual mount', '1')
    .option('--json', 'one JSON object on stdout')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole drift --list\n  lodepole drift --star alphard --division 12\n  lodepole drift --from drift.csv --json\n' +
        '  lodepole drift --virtual orchard\n  lodepole drift --virtual woolshed --star canopus\n' +
        'Readings are in arcseconds unless you say otherwise; north is positive. To find north in the field, nudge the tube\n' +
        'toward the pole: the star moves south.',
    )
    .action(async (options: DriftOptions) => {
      const { runDrift } = await import('./runDrift.ts');
      process.exitCode = await runDrift(options);
    });
}
