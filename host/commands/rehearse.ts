import { InvalidArgumentError, type Command } from 'commander';
import type { RehearseOptions } from './runRehearse.ts';

const wholeNumber = (text: string): number => {
  const value = Number(text);
  if (!/^\d+$/.test(text) || value > 2 ** 31) throw new InvalidArgumentError('Give a whole number from 0.');
  return value;
};

export function register(program: Command): void {
  program
    .command('rehearse')
    .description('Watch a whole evening with virtual hands, about two minutes: tumble, swing, stand-off, nudge, lock.')
    .option('--scene <name>', 'orchard (north) or woolshed (south), both invented', 'orchard')
    .option('--seed <number>', 'each number gives another mount, iron and chips', wholeNumber, 1)
    .option('--fast', 'as fast as possible, without the emulated processor')
    .option('--json', 'one JSON object on stdout at the end')
    .addHelpText('after', '\nExample:\n  lodepole rehearse --scene woolshed --seed 7')
    .action(async (options: RehearseOptions) => {
      const { runRehearse } = await import('./runRehearse.ts');
      process.exitCode = await runRehearse(options);
    });
}
