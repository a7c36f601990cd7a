import { readFileSync } from 'node:fs';
import { Command, CommanderError } from 'commander';
import { register as balance } from './commands/balance.ts';
import { register as board } from './commands/board.ts';
import { register as card } from './commands/card.ts';
import { register as completion } from './commands/completion.ts';
import { register as drift } from './commands/drift.ts';
import { register as enough } from './commands/enough.ts';
import { register as level } from './commands/level.ts';
import { register as load } from './commands/load.ts';
import { register as lock } from './commands/lock.ts';
import { register as next } from './commands/next.ts';
import { register as night } from './commands/night.ts';
import { register as nudge } from './commands/nudge.ts';
import { register as rehearse } from './commands/rehearse.ts';
import { register as replay } from './commands/replay.ts';
import { register as side } from './commands/side.ts';
import { register as sight } from './commands/sight.ts';
import { register as site } from './commands/site.ts';
import { register as sky } from './commands/sky.ts';
import { register as standoff } from './commands/standoff.ts';
import { register as swing } from './commands/swing.ts';
import { register as tumble } from './commands/tumble.ts';
import { register as watch } from './commands/watch.ts';
import { exitCode, Failure } from './failure.ts';
import { nearNames } from './nearNames.ts';
import { printable, printJson, say } from './output.ts';
import { asTyped } from './words/asTyped.ts';

/** Each command lives in host/commands/NAME.ts, exports `register` and loads what is heavy inside its action. */
const registrations: ((program: Command) => void)[] = [
  watch,
  site,
  sky,
  sight,
  drift,
  nudge,
  lock,
  load,
  enough,
  balance,
  side,
  swing,
  standoff,
  level,
  tumble,
  rehearse,
  night,
  next,
  card,
  board,
  replay,
  completion,
];

const { version } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8')) as {
  version: string;
};

/** Commands that are asked by machines, or say what comes next themselves. */
const silent = new Set(['next', 'card', 'completion', 'complete']);

function commandLine(): Command {
  const program = new Command('lodepole')
    .description(
      'Live altitude and azimuth error of a polar axis, with its uncertainty, where the pole cannot be seen.',
    )
    .version(version)
    .configureOutput({
      writeOut: (text) => process.stdout.write(asTyped(text)),
      writeErr: (text) => process.stderr.write(asTyped(text)),
    })
    .exitOverride();

  for (const register of registrations) register(program);
  program.hook('postAction', async (_, ran) => {
    const { json, list, ...opts } = ran.opts<{ json?: boolean; virtual?: string; mount?: string; list?: boolean }>();
    if (json || silent.has(ran.name()) || (list && opts.virtual !== undefined)) return;
    const { sayNext } = await import('./commands/runNext.ts');
    await sayNext(ran.name(), opts);
  });
  for (const command of program.commands) {
    command.showHelpAfterError(`See: lodepole ${command.name()} --help`);
  }
  return program;
}

/** Runs one command line, `argv` without node and the program; its exit code stands in `process.exitCode` at the end. */
export async function runProgram(argv: readonly string[]): Promise<void> {
  try {
    const program = commandLine();
    checkCommand(program, argv[0]);
    await program.parseAsync(argv, { from: 'user' });
  } catch (error) {
    if (error instanceof CommanderError) process.exitCode = error.exitCode === 0 ? exitCode.done : exitCode.usage;
    else report(error, argv);
  }
}

/** A word in the place of a command that is none. Throws Failure. */
function checkCommand(program: Command, word: string | undefined): void {
  const names = [...program.commands.map((command) => command.name()), 'help'];
  if (word === undefined || word.startsWith('-') || names.includes(word)) return;
  const near = nearNames(word, names, 2);
  const meant = near.length > 0 ? `Did you mean ${near.join(' or ')}? ` : '';
  throw new Failure(
    exitCode.usage,
    `There is no command "${word}".`,
    `${meant}The commands are ${names.join(', ')}; without a command, the needles start.`,
  );
}

/** An expected failure in its own words; of an unexpected one no more than helps to report it. */
export function report(error: unknown, argv: readonly string[]): void {
  const isDebug = (process.env.LODEPOLE_DEBUG ?? '') !== '';
  if (error instanceof Failure) {
    say(printable(`${error.message}\n${error.whatToDo}`));
    if (isDebug && error.cause instanceof Error) say(error.cause.stack ?? error.cause.message);
    if (error.code === exitCode.refused && argv.includes('--json')) printJson(refusalJson(error));
    process.exitCode = error.code;
  } else {
    say(isDebug && error instanceof Error ? (error.stack ?? error.message) : `Lodepole failed: ${describe(error)}`);
    if (!isDebug) say('This is a fault of the program. Run it again with LODEPOLE_DEBUG=1 and report what it prints.');
    process.exitCode = exitCode.fault;
  }
}

/** A refusal before there was anything to judge: the keys of every refusal, without figures. */
function refusalJson({ message, whatToDo }: Failure): Record<string, unknown> {
  return { accepted: false, reason: message, value: null, limit: null, unit: null, nextAction: whatToDo };
}

function describe(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
