import { asTyped } from '../words/asTyped.ts';
import { clockWords } from '../words/clock.ts';

const everyMs = 500;

/**
 * One line of the terminal that is written anew in its place while a step goes on: how long, and what it says. Nothing where
 * stderr is no terminal. Ended by what it returns; lines that are said meanwhile go through `above`.
 */
export function showMeter(
  words: () => string,
  stream: Pick<NodeJS.WriteStream, 'isTTY' | 'columns' | 'write'> = process.stderr,
): { above(tell: () => void): void; end(): void } {
  if (!stream.isTTY) return { above: (tell) => tell(), end: () => {} };
  const startMs = performance.now();
  const clear = (): unknown => stream.write('\r\u001B[K');
  const draw = (): void => {
    const text = `${clockWords((performance.now() - startMs) / 1000)}  ${words()}`;
    stream.write(`\r\u001B[K${asTyped(text).slice(0, Math.max((stream.columns || 80) - 1, 0))}`);
  };
  draw();
  const timer = setInterval(draw, everyMs);
  return {
    above: (tell) => {
      clear();
      tell();
      draw();
    },
    end: () => {
      clearInterval(timer);
      clear();
    },
  };
}
