import type { Command } from 'commander';
import { addSiteOptions } from './siteOptions.ts';
import { addClippingOptions } from '../store/clipping.ts';
import { cautions } from '../words/cautions.ts';
import type { SightOptions } from './sightOptions.ts';

export function register(program: Command): void {
  addClippingOptions(addSiteOptions(program.command('sight')))
    .description('Prove the polar axis on any stars: centre one, press Enter, go to the next. Needs no magnetometer.')
    .option('--from <file>', 'sights from a CSV: utc,star,side,roll_deg (or ax_g,ay_g,az_g with --axis)')
    .option('--axis <x,y,z>', 'axisInBoard of the swing, for a CSV of gravity')
    .option('--shaft-level <roll>', 'roll in degrees while the counterweight shaft was level, tube west')
    .option('--needles <a,s,z,s>', 'with --from: altitude error, sigma, azimuth error, sigma of the needles, arcmin')
    .option('--sun', 'by day: the azimuth from the shadow of a pin square on the board')
    .option('--shadow <degrees>', 'with --sun: where the shadow falls, from the x arrow toward the y arrow')
    .option('--gravity <x,y,z>', 'with --sun and --axis: a recorded reading instead of a live board')
    .option('--list', 'only list the stars to take from here, best first; with --from: after those already taken')
    .option('--keep', 'with --from or --sun: save the result in the log of this night (--sun: the deviation too)')
    .option('--at <utc>', 'the time for --list and --gravity, and for --sun with --virtual', 'now')
    .option('--port <port>', 'the board on this port; any: on any USB port (default: the first known one that answers)')
    .option('--virtual <scene>', 'practise in an invented scene: orchard or woolshed')
    .option('--seed <number>', 'each number gives another virtual mount')
    .option('--out <file>', 'save the sights as CSV')
    .option('--json', 'one JSON object on stdout')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole sight --list\n  lodepole sight\n  lodepole sight --from sights.csv --json\n' +
        'West means that the tube is west of the mount when it looks at the meridian: so it is for a star in the east.\n' +
        `${cautions.sun} --sun works by shadow alone.\n${cautions.clutch}`,
    )
    .action(async (options: SightOptions) => {
      const { runSight } = await import('./runSight.ts');
      process.exitCode = await runSight(options);
    });
}
