import type { Command } from 'commander';
import { addSiteOptions } from './siteOptions.ts';
import { addTargetOptions } from './targetOptions.ts';
import { cautions } from '../words/cautions.ts';
import type { SideOptions } from './runSide.ts';

export function register(program: Command): void {
  addTargetOptions(addSiteOptions(program.command('side')))
    .description('On which side of the mount to observe a target, and how long until the meridian flip.')
    .option('--list', 'what can be observed now, with side and time to the flip')
    .option('--at <utc>', 'time in UTC, or with a time zone', 'now')
    .option('--allow <degrees>', 'how far above level the counterweight may rise before the flip', '0')
    .option('--rig <file>', 'a rig with "measures" of tube and tripod (file or saved name): how near they come')
    .option('--horizon <sectors>', 'what hides the sky instead of what is saved: "330-60:55, 120-180:20"')
    .option('--json', 'one JSON object on stdout')
    .addHelpText(
      'after',
      `
Examples:
  lodepole side --star vega --at 2026-11-25T21:30:00Z --lat 46.43 --lon -118.6
  lodepole side --list --allow 5
West means that the tube is west of the mount when it looks at the meridian: so it is while the target is in the east.
Measures of a rig, in millimetres from the crossing of both axes (an invented example):
  "measures": {"tubeOutMm": 190, "tubeFrontMm": 420, "tubeRearMm": 510, "tubeDiameterMm": 130,
               "headBelowMm": 160, "groundBelowMm": 1150, "footOutMm": 520, "legMm": 45, "legAzimuthDeg": 0}
${cautions.clutch} Watch the first flip with every new instrument.`,
    )
    .action(async (options: SideOptions) => {
      const { runSide } = await import('./runSide.ts');
      process.exitCode = await runSide(options);
    });
}
