import { wrap } from './lines.ts';

/**
 * Lines too long for a terminal broken at spaces; all left alone for a file or a pipe.
 * @param hanging columns by which what follows a break stands in
 */
export function wrapped(text: string, stream: NodeJS.WriteStream, hanging = 0): string {
  if (!stream.isTTY) return text;
  const width = stream.columns - hanging;
  const broken = (line: string): string[] =>
    line.length > stream.columns ? wrap(line.slice(hanging), width).map((part) => ' '.repeat(hanging) + part) : [line];
  return text
    .split('\n')
    .flatMap((line) => broken(line).map((part, i) => (i === 0 ? line.slice(0, hanging) + part.slice(hanging) : part)))
    .join('\n');
}
