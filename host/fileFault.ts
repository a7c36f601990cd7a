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

/** Why a file that the person named cannot be written. */
export const writeFault = (path: string, error: unknown): Failure =>
  new Failure(
    exitCode.inputOutput,
    isMissing(error)
      ? `${path} cannot be written: there is no such folder.`
      : `${path} cannot be written: ${(error as Error).message}`,
    'Choose another folder, or free some space.',
    { cause: error },
  );
