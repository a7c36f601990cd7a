import type { Axis } from '../../words/reading.ts';
import type { PanelName } from './panelName.ts';
import type { Choices } from './look.ts';

export interface Commands {
  open(name: PanelName): void;
  close(): void;
  change(part: Partial<Choices>): void;
  choices: Choices;
  turn(bolt: Axis, turns: number): void;
  switchSound(): void;
  /** A star is centred: takes the sight that is under way. */
  centred(): void;
  /** The view for a distance: both needles, each alone, and back. */
  goFar(): void;
}

/** One touch of a virtual bolt. */
export const turnStep = 1 / 16;
const brighter = 0.05;

export const keyHelp: readonly [string, string][] = [
  ['f', 'far view: both needles, each alone, back'],
  ['s  t  o  l  h  ?', 'steps, trace, sound, look, hands, more'],
  ['Esc', 'back'],
  ['d', 'dark or day'],
  ['+  −', 'brighter, dimmer'],
  ['m', 'sound on or off'],
  ['a', 'hear azimuth or altitude'],
  ['c', 'the star is centred'],
  ['arrows', 'turn the bolts of a virtual mount'],
];

const panels: Readonly<Record<string, PanelName>> = {
  s: 'steps',
  t: 'trace',
  o: 'sound',
  l: 'look',
  h: 'hands',
  '?': 'more',
};
const bolts: Readonly<Record<string, readonly [Axis, number]>> = {
  ArrowUp: ['altitude', turnStep],
  ArrowDown: ['altitude', -turnStep],
  ArrowRight: ['azimuth', turnStep],
  ArrowLeft: ['azimuth', -turnStep],
};

const isEntry = (target: EventTarget | null): boolean =>
  target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement;

/** Keys for everything; letters can be switched off (WCAG 2.1.4). Returns how to stop listening. */
export function listenToKeys(commands: () => Commands): () => void {
  const onKey = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey || isEntry(event.target)) return;
    const now = commands();
    if (event.key === 'Escape') return now.close();
    if (!now.choices.keys) return;
    if (event.key in bolts) {
      event.preventDefault();
      return now.turn(...bolts[event.key]);
    }
    const { brightness, look, axis } = now.choices;
    if (event.key in panels) now.open(panels[event.key]);
    else if (event.key === 'd') now.change({ look: look === 'dark' ? 'day' : 'dark' });
    else if (event.key === '+' || event.key === '=') now.change({ brightness: Math.min(1, brightness + brighter) });
    else if (event.key === '-') now.change({ brightness: Math.max(0, brightness - brighter) });
    else if (event.key === 'c') now.centred();
    else if (event.key === 'f') now.goFar();
    else if (event.key === 'm') now.switchSound();
    else if (event.key === 'a') now.change({ axis: axis === 'azimuth' ? 'altitude' : 'azimuth' });
  };
  addEventListener('keydown', onKey);
  return () => removeEventListener('keydown', onKey);
}
