import { exitCode, Failure } from './failure.ts';

type Reasons = Readonly<Record<string, string>>;

const onReading: Reasons = {
  ENOTDIR: 'there is no such folder',
  EISDIR: 'that is a folder',
  EACCES: 'you may not read it',
  EPERM: 'you may not read it',
  EIO: 'the disk is damaged or was taken out',
};

const onWriting: Reasons = {
  ENOENT: 'there is no such folder',
  ENOTDIR: 'there is no such folder',
  EISDIR: 'that is a folder',
  EACCES: 'you may not write there',
  EPERM: 'you may not write there',
  EROFS: 'nothing can be written there',
  ENOSPC: 'the disk is full',
  EDQUOT: 'your share of the disk is full',
  EFBIG: 'the file is too large',
  EIO: 'the disk is damaged or was taken out',
};

/** Why writing failed, in words, such as "the disk is full". */
export const whyNotWritten = (error: unknown): string => reasonOf(error, onWriting);

/** The system's own words may name a file written aside, which the person never heard of. */
const reasonOf = (error: unknown, reasons: Reasons): string =>
  reasons[(error as NodeJS.ErrnoException).code ?? ''] ?? 'the system refuses it';

/** Why a file that the person named cannot be read. */
export const readFault = (path: string, error: unknown): Failure =>
  (error as NodeJS.ErrnoException).code === 'ENOENT'
    ? new Failure(exitCode.inputOutput, `There is no file ${path}.`, 'Check its name and its folder.', { cause: error })
    : new Failure(
        exitCode.inputOutput,
        `${path} cannot be read: ${reasonOf(error, onReading)}.`,
        'Check its name and its permissions.',
        { cause: error },
      );

/** Why a file that the person named cannot be written. */
export const writeFault = (path: string, error: unknown): Failure =>
  new Failure(
    exitCode.inputOutput,
    `${path} cannot be written: ${reasonOf(error, onWriting)}.`,
    'Choose another file or folder, or free some space.',
    { cause: error },
  );

/** Why the results cannot be written where stdout leads to. */
export const outputFault = (error: unknown): Failure =>
  new Failure(
    exitCode.inputOutput,
    `The output cannot be written: ${reasonOf(error, onWriting)}.`,
    'Free some space, or send it to another place.',
    { cause: error },
  );

/** Why something cannot be kept in the program's own folder. */
export const keepFault = (path: string, error: unknown): Failure =>
  error instanceof Failure
    ? error
    : new Failure(
        exitCode.inputOutput,
        `${path} cannot be saved: ${reasonOf(error, onWriting)}.`,
        'Free some space or choose another folder with LODEPOLE_HOME. What was there before is untouched.',
        { cause: error },
      );
