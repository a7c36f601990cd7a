import { exitCode } from './failure.ts';
import { outputFault } from './fileFault.ts';
import { report, runProgram } from './program.ts';

const argv = process.argv.slice(2);

process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  // the reader has seen enough; a command that has something to close listens itself
  if (process.stdout.listenerCount('error') > 1) return;
  if (error.code === 'EPIPE') process.exit(exitCode.done);
  end(outputFault(error));
});
// where nobody can be told there is still the exit code
process.stderr.on('error', () => {});
process.on('unhandledRejection', (error) => end(error));
process.on('uncaughtException', (error) => end(error));

await runProgram(argv);

/** What was not expected ends the program: its state can no longer be trusted. */
function end(error: unknown): never {
  report(error, argv);
  process.exit();
}
