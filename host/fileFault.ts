import { exitCode, Failure } from './failure.ts';

const isMissing = (error: unknown): boolean => (error as NodeJS.ErrnoException).code === 'ENOENT';

/** Why a file that the person named cannot be read. */
export const readFault = (path: string, error: unknown): Failure =>
  isMissing(error)
    ? new Failure(exitCode.inputOutput, `There is no file ${path}.`, 'Check its name and its folder.')
    : new Failure(
        exitCode.inputOutput,
        `${path} cannot be read: ${(error as Error).message}`,
        'Check its name and its permissions.',
        { cause: error },
      );

const reasons: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such folder',
  ENOTDIR: 'there is no such folder',
  EISDIR: 'that is a folder',
  EACCES: 'you may not write there',
  EPERM: 'you may not write there',
  EROFS: 'nothing can be written there',
  ENOSPC: 'the disk is full',
};

/** The system's own message may name a file written aside, which the person never heard of. */
function whyNot(error: unknown): string {
  const { code = '', message } = error as NodeJS.ErrnoException;
  return reasons[code] ?? message;
}

/** Why a file that the person named cannot be written. */
export const writeFault = (path: string, error: unknown): Failure =>
  new Failure(
    exitCode.inputOutput,
    `${path} cannot be written: ${whyNot(error)}.`,
    'Choose another file or folder, or free some space.',
    { cause: error },
  );
