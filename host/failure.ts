/** Exit codes of every command (sysexits.h where one fits). */
export const exitCode = {
  done: 0,
  refused: 1,
  usage: 64,
  badData: 65,
  noBoard: 69,
  fault: 70,
  inputOutput: 74,
  interrupted: 130,
} as const;
export type ExitCode = (typeof exitCode)[keyof typeof exitCode];

/** An ordinary, expected failure: says what went wrong and where, and what the user can do about it. */
export class Failure extends Error {
  readonly code: ExitCode;
  readonly whatToDo: string;

  constructor(code: ExitCode, what: string, whatToDo: string, options?: ErrorOptions) {
    super(what, options);
    this.name = 'Failure';
    this.code = code;
    this.whatToDo = whatToDo;
  }
}
