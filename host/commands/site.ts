import type { Command } from 'commander';
import { cautions } from '../words/cautions.ts';
import type { RunSiteOptions } from './runSite.ts';
import { addSiteOptions } from './siteOptions.ts';

export function register(program: Command): void {
  addSiteOptions(program.command('site'))
    .description("Where the mount stands: the pole's direction, variation, dip and field, with their uncertainty.")
    .option('--date <date>', 'date for the magnetic model (default: now)')
    .option('--gps <port>', 'take position, elevation and time from an NMEA 0183 receiver on this port')
    .option('--horizon <sectors>', 'what hides the sky, "330-60:55, 120-180:20": azimuths, clockwise, and altitude')
    .option('--trace', 'trace what hides the sky with the board, sweeping its x arrow along the tree line')
    .option('--port <port>', 'with --trace: the board on this port')
    .option('--virtual <scene>', 'with --trace: the virtual board of an invented scene')
    .option('--seed <number>', 'with --virtual: each number gives another virtual board')
    .option('--calibration <file>', 'with --trace: the file written by `tumble --out`')
    .option('--save', 'save the site for all other commands')
    .option('--json', 'one JSON object on stdout')
    .addHelpText(
      'after',
      '\nExample:\n  lodepole site --lat "46d25\'50\\"N" --lon 118.6W --elevation "1640 ft" --save\n' +
        `Without coordinates the saved site is shown. ${cautions.magnetic}`,
    )
    .action(async (options: RunSiteOptions) => {
      const { runSite } = await import('./runSite.ts');
      await runSite(options);
    });
}
