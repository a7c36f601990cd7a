import { InvalidArgumentError, Option, type Command } from 'commander';
import { say } from '../output.ts';
import { addSiteOptions, siteOfOptions, type SiteOptions } from './siteOptions.ts';
import { quietKeys } from '../terminal/quietKeys.ts';
import { addClippingOptions, type ClippingOptions } from '../store/clipping.ts';
import { cautions } from '../words/cautions.ts';
import { slowIronWords } from '../words/iron.ts';

interface Options extends SiteOptions, ClippingOptions {
  port?: string;
  virtual?: string;
  seed?: number;
  fast?: boolean;
  seconds?: number;
  record?: string;
  calibration?: string;
  pole: 'true' | 'refracted';
  look: 'dark' | 'dim' | 'day';
  page: boolean;
  pagePort?: number;
  share?: boolean;
  json?: boolean;
}

const between =
  (low: number, high: number, isWhole: boolean) =>
  (text: string): number => {
    const value = Number(text);
    if (text.trim() === '' || !(value >= low && value <= high) || (isWhole && !Number.isInteger(value)))
      throw new InvalidArgumentError(`Give a ${isWhole ? 'whole ' : ''}number from ${low} to ${high}.`);
    return value;
  };

export function register(program: Command): void {
  addClippingOptions(addSiteOptions(program.command('watch', { isDefault: true })))
    .description('Live needles: how far the polar axis is off in altitude and azimuth, with the uncertainty.')
    .option(
      '--port <port>',
      'the board on this port; any: on any USB port (default: the first known one that answers, else the virtual board)',
    )
    .option('--virtual <scene>', 'the virtual board: orchard (north) or woolshed (south), both invented')
    .option('--seed <number>', 'each number gives another virtual mount, iron and chips', between(0, 2 ** 31, true))
    .option('--fast', 'virtual board without the emulated processor')
    .option('--seconds <number>', 'end after this time', between(0.1, 1e7, false))
    .option('--record <file>', 'record every line of the board in a capture file')
    .option('--calibration <file>', 'use this calibration instead of the saved one')
    .addOption(new Option('--pole <which>', 'which pole is the target').choices(['true', 'refracted']).default('true'))
    .addOption(new Option('--look <look>', 'how the terminal looks').choices(['dark', 'dim', 'day']).default('dark'))
    .option('--no-page', 'serve no page')
    .option('--page-port <number>', 'port of the page on this machine', between(0, 65535, true))
    .option('--share', 'serve the page to the local network as well, behind a pairing code')
    .option('--json', 'JSON lines on stdout, about twenty a second')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole watch --virtual woolshed --seed 7\n  lodepole watch --port /dev/ttyUSB0 --lat 46.43 --lon -118.6 --record tonight.capture\n' +
        '  lodepole --json --seconds 20\n' +
        `${cautions.fingers}\n${cautions.magnetic}\n${slowIronWords}`,
    )
    .action(async (options: Options) => {
      if (!options.json)
        say(
          options.virtual === undefined
            ? 'Lodepole: looking for a board ... The keys work once the needles show.'
            : 'Lodepole: starting the virtual board ... The keys work once the needles show.',
        );
      // to load the rest takes a while, in which somebody may press the keys already
      const loudAgain = process.stdin.isTTY && !options.json ? quietKeys(process.stdin) : () => {};
      const { runWatch } = await import('./runWatch.ts').finally(loudAgain);
      await (await import('./askAboutPorts.ts')).askAboutPorts(options);
      process.exitCode = await runWatch({ ...options, isFast: options.fast, site: siteOfOptions(options) });
    });
}
