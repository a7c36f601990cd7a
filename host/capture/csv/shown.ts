import { printable } from '../../output.ts';

/** A name of a file's column, short and harmless enough for a message. */
export const shown = (name: string, longest = 40): string => printable(name.slice(0, longest));
