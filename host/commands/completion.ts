import tab from '@bomb.sh/tab/commander';
import type { Command } from 'commander';
import list from '../sky/stars.json' with { type: 'json' };

const scenes = ['orchard', 'woolshed'];
/** Shells divide at spaces, so that only names of one word are offered. */
const starNames = list.stars.flatMap(([name]) => (typeof name === 'string' && !name.includes(' ') ? [name] : []));

/** Adds `completion`, and the hidden `complete` that its scripts call. Comes after all other commands. */
export function register(program: Command): void {
  const { commands } = tab(program, { completionCommandName: 'completion' });
  for (const { options } of commands.values()) {
    const scene = options.get('virtual');
    if (scene) scene.handler = (offer) => scenes.forEach((name) => offer(name, 'an invented scene'));
    const star = options.get('star');
    if (star) star.handler = (offer) => starNames.forEach((name) => offer(name, ''));
  }
  program.commands
    .find((command) => command.name() === 'completion')
    ?.description('Print a script with which your shell completes commands and options: bash, zsh or fish.')
    .addHelpText(
      'after',
      `
Examples:
  bash:  lodepole completion bash > ~/.local/share/bash-completion/completions/lodepole
  zsh:   lodepole completion zsh > ~/.zsh/completions/_lodepole    (a folder of your fpath)
  fish:  lodepole completion fish > ~/.config/fish/completions/lodepole.fish
Then open a new shell. In bash this needs the package bash-completion.`,
    );
}
