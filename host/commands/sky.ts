import type { Command } from 'commander';
import { exitCode, Failure } from '../failure.ts';
import { addSiteOptions } from './siteOptions.ts';
import type { SkyOptions } from './runSky.ts';
import { addTargetOptions } from './targetOptions.ts';

export function register(program: Command): void {
  addTargetOptions(addSiteOptions(program.command('sky')))
    .description('Where a star, the Sun, the Moon or a planet stands: altitude, azimuth, hour angle, refraction.')
    .option('--at <utc>', 'time in UTC, or with a time zone', 'now')
    .option('--pressure <hPa>', 'air pressure for the refraction (default: 1010)')
    .option('--temperature <degrees>', 'air temperature in degrees Celsius (default: 10)')
    .option('--json', 'one JSON object on stdout')
    .addHelpText('after', '\nExample:\n  lodepole sky --star vega --at 2026-11-25T21:30:00Z --lat 46.43 --lon -118.6')
    .allowExcessArguments()
    .action(async (options: SkyOptions, { args }: Command) => {
      if (args.length > 0) {
        throw new Failure(
          exitCode.usage,
          `"${args.join(' ')}" stands alone.`,
          `Put the option before the name: lodepole sky --star "${args.join(' ')}"`,
        );
      }
      const { runSky } = await import('./runSky.ts');
      await runSky(options);
    });
}
