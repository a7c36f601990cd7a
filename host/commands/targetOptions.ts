import type { Command } from 'commander';
import { exitCode, Failure } from '../failure.ts';
import type { Target } from '../sky/place.ts';
import { parseDeclination, parseRightAscension, targetNamed } from '../sky/target.ts';

export interface TargetOptions {
  star?: string;
  ra?: string;
  dec?: string;
  equinox: string;
}

/** Adds the options by which a command is told what in the sky is meant. */
export const addTargetOptions = (command: Command): Command =>
  command
    .option('--star <name>', 'common name, Bayer letter ("alpha Lyr"), HIP number, sun, moon or a planet')
    .option('--ra <angle>', 'right ascension instead: 6h45m8.9s, or 101.287d for degrees')
    .option('--dec <angle>', 'declination: -16d42\'58"')
    .option('--equinox <which>', 'equinox of --ra and --dec: 2000 or date', '2000');

/** Throws Failure where the options name nothing, or two things. */
export function targetOf(options: TargetOptions): Target {
  if (options.star !== undefined && options.ra === undefined && options.dec === undefined) {
    return targetNamed(options.star);
  }
  if (options.star === undefined && options.ra !== undefined && options.dec !== undefined) {
    if (options.equinox !== '2000' && options.equinox !== 'date') {
      throw new Failure(exitCode.usage, `The equinox "${options.equinox}" is not known.`, 'Give 2000 or date.');
    }
    return {
      kind: 'direction',
      direction: {
        rightAscensionRad: parseRightAscension(options.ra),
        declinationRad: parseDeclination(options.dec),
      },
      equinox: options.equinox === '2000' ? 'J2000' : 'date',
    };
  }
  throw new Failure(exitCode.usage, 'What to look for is not clear.', 'Give --star NAME, or --ra and --dec.');
}
