import { exitCode, type ExitCode } from '../failure.ts';
import { outputFault } from '../fileFault.ts';

/** Whatever ends the watch first: the time, a signal, a key, or the reader of stdout. */
export class WatchEnding {
  private end: (code: ExitCode) => void = () => {};
  private break: (error: unknown) => void = () => {};
  private readonly ended = new Promise<ExitCode>((resolve, reject) => {
    this.end = resolve;
    this.break = reject;
  });
  private readonly interrupt = (): void => this.end(exitCode.interrupted);
  private readonly onPipe = (error: NodeJS.ErrnoException): void => {
    // the reader has seen enough: that is no error
    if (error.code === 'EPIPE') this.end(exitCode.done);
    else this.break(outputFault(error));
  };

  constructor() {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, this.interrupt);
    process.stdout.on('error', this.onPipe);
  }

  now(code: ExitCode): void {
    this.end(code);
  }

  fail(error: unknown): void {
    this.break(error);
  }

  wait(seconds: number | undefined): Promise<ExitCode> {
    if (seconds === undefined) return this.ended;
    const timer = setTimeout(() => this.end(exitCode.done), seconds * 1000);
    return this.ended.finally(() => clearTimeout(timer));
  }

  stopListening(): void {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.off(signal, this.interrupt);
  }
}
