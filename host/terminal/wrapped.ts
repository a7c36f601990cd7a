import { wrap } from './wrap.ts';

/** Broken at spaces for a terminal, left alone for a file or a pipe. */
export const wrapped = (text: string, stream: NodeJS.WriteStream): string =>
  stream.isTTY ? wrap(text, stream.columns).join('\n') : text;
