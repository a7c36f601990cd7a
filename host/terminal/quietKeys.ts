import type { ReadStream } from 'node:tty';

/** Keys pressed before there is a screen are neither shown nor kept; Ctrl-C does what it always does. Ended by what it returns. */
export function quietKeys(input: ReadStream): () => void {
  const onData = (keys: Buffer): void => {
    if (keys.includes(3)) process.kill(process.pid, 'SIGINT');
  };
  input.setRawMode(true);
  input.on('data', onData);
  input.resume();
  let isEnded = false;
  return () => {
    if (isEnded) return;
    isEnded = true;
    input.off('data', onData);
    input.setRawMode(false);
    input.pause();
  };
}
