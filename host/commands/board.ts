import type { Command } from 'commander';

interface Options {
  port?: string;
  drive?: string;
  flash?: boolean;
  axes?: boolean;
  udev?: string;
  selftest?: boolean;
  json?: boolean;
}

export function register(program: Command): void {
  program
    .command('board')
    .description('List the ports and who may open them; identify the board, run its self-test, flash it.')
    .option('--port <port>', 'ask only the board on this port; any: on every USB port')
    .option('--flash', 'put the program onto the board: onto its drive, or by avrdude, and ask it afterwards')
    .option('--drive <folder>', "with --flash: the folder of the board's drive")
    .option('--axes', 'check the orientation of the chips in five poses, and set the board accordingly')
    .option('--udev <what>', 'print the rule that gives access to the boards on Linux, or install it')
    .option('--no-selftest', 'do not run the self-test')
    .option('--json', 'one JSON object on stdout')
    .addHelpText(
      'after',
      '\nExamples:\n  lodepole board\n  lodepole board --port /dev/ttyUSB0 --json\n  lodepole board --flash\n  lodepole board --axes\n' +
        'Opening a port restarts many boards; keep other devices unplugged if they must not be disturbed.',
    )
    .action(async (options: Options) => {
      if (options.udev !== undefined) {
        const { runUdev } = await import('./runUdev.ts');
        process.exitCode = await runUdev(options.udev);
      } else if (options.flash) {
        const { runFlash } = await import('./runFlash.ts');
        process.exitCode = await runFlash(options);
      } else if (options.axes) {
        const { runAxes } = await import('./runAxes.ts');
        process.exitCode = await runAxes(options);
      } else {
        const { runBoard } = await import('./runBoard.ts');
        process.exitCode = await runBoard(options);
      }
    });
}
