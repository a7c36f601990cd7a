import { readdirSync, readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Command } from 'commander';
import type { Sentence } from './sentences.ts';

const folder = fileURLToPath(new URL('../../host/commands/', import.meta.url));

/** The commands as the program registers them. */
export async function registered(): Promise<Map<string, Command>> {
  const program = new Command('lodepole');
  for (const file of readdirSync(folder).filter((name) => /^(?!run)\w+\.ts$/.test(name))) {
    if (!readFileSync(`${folder}${file}`, 'utf8').includes('export function register(')) continue;
    const { register } = (await import(`../../host/commands/${basename(file, '.ts')}.ts`)) as {
      register: (to: Command) => void;
    };
    register(program);
  }
  return new Map(program.commands.map((command) => [command.name(), command]));
}

/** The command lines that sentences and guides name, as words: `lodepole swing --from a.csv`, `npm start -- swing`. */
export function typedIn(sentences: readonly Sentence[]): { where: string; typed: string[] }[] {
  return sentences.flatMap(({ file, line, text }) =>
    [
      ...text.matchAll(
        /(?<!-u |# )(?:\blodepole|npm start --) (?=(--)?[a-z])([^\n`|]*?)(?=\blodepole|[;,.)] |[\n`|]|$)/g,
      ),
    ].map(([, , typed]) => ({ where: `${file}:${line}`, typed: typed!.match(/"[^"]*"|[^\s;,.)"]+/g) ?? [] })),
  );
}

/** What is wrong with a command line that names a command or an option which is none; undefined where nothing is. */
export function typedFault(typed: readonly string[], commands: ReadonlyMap<string, Command>): string | undefined {
  const [first = ''] = typed;
  const command = commands.get(first.startsWith('-') ? 'watch' : first.replace(/\{.*/, ''));
  if (!command) return `no command ${first}`;
  const known = new Set(['--help', ...command.options.flatMap(({ long }) => long ?? [])]);
  const named = typed.filter((word) => word.startsWith('--')).map((word) => word.replace(/=.*/, ''));
  const wrong = named.find((word) => !known.has(word));
  return wrong && `${command.name()} has no ${wrong}`;
}

/** The examples in the help of a command, each as the words that a shell would pass on. */
export function examplesOf(command: Command): string[][] {
  let help = '';
  command.configureOutput({ writeOut: (text) => void (help += text) }).outputHelp();
  return [...help.matchAll(/^ +(?:\w+: +)?lodepole ([^\n>]*)/gm)].map(([, line]) =>
    (line!.match(/(?:"(?:\\.|[^"])*"|[^\s"])+/g) ?? []).map((word) => word.replace(/\\"|"/g, (mark) => mark.slice(1))),
  );
}
