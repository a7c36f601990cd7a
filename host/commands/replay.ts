import { Option, type Command } from 'commander';
import { addCsvOptions, csvOptionsOf, type CsvCommandOptions } from '../capture/csv/options.ts';
import { cautions } from '../words/cautions.ts';
import { addSiteOptions, siteOfOptions, type SiteOptions } from './siteOptions.ts';
import { addClippingOptions, type ClippingOptions } from '../store/clipping.ts';

interface Options extends SiteOptions, ClippingOptions, CsvCommandOptions {
  fast?: boolean;
  calibration?: string;
  pole: 'true' | 'refracted';
  look: 'dark' | 'day';
  json?: boolean;
}

export function register(program: Command): void {
  addCsvOptions(addClippingOptions(addSiteOptions(program.command('replay <file>'))))
    .description(
      'A recording through the same link and the same needles as a board: a capture, or a CSV file with a time.',
    )
    .option('--fast', 'as fast as possible instead of in its own time')
    .option('--calibration <file>', 'use this calibration instead of the saved one')
    .addOption(new Option('--pole <which>', 'which pole is the target').choices(['true', 'refracted']).default('true'))
    .addOption(new Option('--look <look>', 'how the terminal looks').choices(['dark', 'day']).default('dark'))
    .option('--json', 'JSON lines on stdout, about twenty for each second of the recording')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole watch --virtual orchard --seconds 20 --record tonight.capture\n  lodepole replay tonight.capture\n' +
        '  lodepole replay tonight.capture --fast --json\n' +
        `The site is the one in the capture, unless another is given. ${cautions.magnetic}`,
    )
    .action(async (file: string, options: Options) => {
      const [{ runWatch }, { openReplay }] = await Promise.all([import('./runWatch.ts'), import('./openReplay.ts')]);
      const site = siteOfOptions(options);
      process.exitCode = await runWatch({ ...options, page: false }, () =>
        openReplay({ ...options, site, file, isFast: options.fast === true, csv: csvOptionsOf(options) }),
      );
    });
}
