import { wrap } from './wrap.ts';

/** Lines too long for a terminal broken at spaces; all left alone for a file or a pipe. */
export const wrapped = (text: string, stream: NodeJS.WriteStream): string =>
  stream.isTTY
    ? text
        .split('\n')
        .flatMap((line) => (line.length > stream.columns ? wrap(line, stream.columns) : [line]))
        .join('\n')
    : text;
