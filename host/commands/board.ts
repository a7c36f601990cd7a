import type { Command } from 'commander';

interface Options {
  port?: string;
  selftest?: boolean;
  json?: boolean;
}

export function register(program: Command): void {
  program
    .command('board')
    .description(
      'Which ports there are and who may open them, what the board says of itself, its self-test, how to flash it.',
    )
    .option('--port <port>', 'ask only the board on this port')
    .option('--no-selftest', 'do not run the self-test')
    .option('--json', 'one JSON object on stdout')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole board\n  lodepole board --port /dev/ttyUSB0 --json\n' +
        'Opening a port restarts many boards; keep other devices unplugged if they must not be disturbed.',
    )
    .action(async (options: Options) => {
      const { runBoard } = await import('./runBoard.ts');
      process.exitCode = await runBoard(options);
    });
}
