import type { Command } from 'commander';
import { exitCode, Failure } from '../failure.ts';

/** The mount and the way of clipping that a swing belongs to; free words of the user's. */
export interface Clipping {
  mount: string;
  clip: string;
}

/** As the options of a command give it. */
export type ClippingOptions = Partial<Clipping>;

export const addClippingOptions = (command: Command): Command =>
  command
    .option('--mount <name>', 'the mount that the swing and the turns of the bolts belong to, where you have several')
    .option('--clip <name>', 'the clip, or the place on the mount, that the swing belongs to');

const namePattern = /^[\p{L}\p{N}][\p{L}\p{N} ._-]{0,29}$/u;

/** Throws Failure where a name cannot be one of `what`. */
export function checkName(name: string, what: string): void {
  if (namePattern.test(name)) return;
  throw new Failure(
    exitCode.usage,
    `"${name}" is not a valid name for ${what}.`,
    'Give up to 30 letters, digits, spaces, dots and dashes.',
  );
}

/** With the usual names where none are given. Throws Failure where a name cannot be one. */
export function clippingOf({ mount = 'mount', clip = 'clip' }: ClippingOptions): Clipping {
  for (const name of [mount, clip]) checkName(name, 'a mount or a clip');
  return { mount, clip };
}

/** Part of a file name; names that differ in capitals or spaces only are the same. */
export const fileNameOf = (name: string): string => name.toLowerCase().replaceAll(' ', '_');
