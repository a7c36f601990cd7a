import { Command } from 'commander';
import { register as board } from './commands/board.ts';
import { register as enough } from './commands/enough.ts';
import { register as level } from './commands/level.ts';
import { register as replay } from './commands/replay.ts';
import { register as sight } from './commands/sight.ts';
import { register as site } from './commands/site.ts';
import { register as sky } from './commands/sky.ts';
import { register as standoff } from './commands/standoff.ts';
import { register as swing } from './commands/swing.ts';
import { register as tumble } from './commands/tumble.ts';
import { register as watch } from './commands/watch.ts';
import { exitCode, Failure } from './failure.ts';
import { say } from './output.ts';

/** Each command lives in host/commands/NAME.ts, exports `register` and loads what is heavy inside its action. */
const registrations: ((program: Command) => void)[] = [
  watch,
  site,
  sky,
  sight,
  enough,
  swing,
  standoff,
  level,
  tumble,
  board,
  replay,
];

const program = new Command('lodepole')
  .description('Live altitude and azimuth error of a polar axis, with its uncertainty, where the pole cannot be seen.')
  .exitOverride((error) => process.exit(error.exitCode === 0 ? exitCode.done : exitCode.usage));

for (const register of registrations) register(program);

try {
  await program.parseAsync();
} catch (error) {
  if (!(error instanceof Failure)) throw error;
  say(`${error.message}\n${error.whatToDo}`);
  process.exitCode = error.code;
}
