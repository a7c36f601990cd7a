import { InvalidArgumentError, type Command } from 'commander';
import { addCsvOptions, csvOptionsOf, type CsvCommandOptions } from '../capture/csv/options.ts';
import { addSiteOptions, siteOfOptions, type SiteOptions } from './siteOptions.ts';
import type { RunTumbleOptions } from './runTumble.ts';

type Options = Omit<RunTumbleOptions, 'site' | 'csv'> & SiteOptions & CsvCommandOptions;

const positive = (text: string): number => {
  const value = Number(text);
  if (text.trim() === '' || !(value > 0 && value <= 1e7)) throw new InvalidArgumentError('Give a positive number.');
  return value;
};

export function register(program: Command): void {
  const command = addSiteOptions(program.command('tumble'))
    .description(
      'Calibrate accelerometer and magnetometer: turn the board in the hand, away from iron, through every attitude.',
    )
    .option('--from <file>', "a capture or any logger's CSV instead of a live board");
  addCsvOptions(command)
    .option('--out <file>', 'save the calibration in this file when it is accepted')
    .option('--port <port>', 'the board on this port; any: on any USB port (default: the first known one that answers)')
    .option('--virtual <scene>', 'the virtual board: orchard (north) or woolshed (south), both invented')
    .option('--seed <number>', 'each number gives another virtual board', positive)
    .option('--fast', 'virtual board without the emulated processor')
    .option('--seconds <number>', 'end after this time instead of when the sphere is covered', positive)
    .option('--json', 'one JSON object on stdout')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole tumble --virtual orchard\n  lodepole tumble --port /dev/ttyUSB0\n  lodepole tumble --from readings.csv --lat 46.43 --lon -118.6 --out board.json\n' +
        '  lodepole tumble --from numbers.txt --columns t_ms,ax_g,ay_g,az_g,-,-,-,mx_ut,my_ut,mz_ut\n' +
        'Exit code 1: measured but refused, with the reason, its value and limit, and what to do next.',
    )
    .action(async (options: Options) => {
      const { runTumble } = await import('./runTumble.ts');
      process.exitCode = await runTumble({ ...options, site: siteOfOptions(options), csv: csvOptionsOf(options) });
    });
}
