import type { StepName, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import type { SheetStep } from './sheet.ts';

/** A step that is done at the terminal so far; the sheet keeps its place and says which command does it. */
class CommandSheet implements SheetStep {
  readonly name: StepName;
  readonly #view: StepView;

  constructor(name: StepName, title: string, told: Pick<StepView, 'toDo' | 'next'> & Partial<StepView>) {
    this.name = name;
    this.#view = { ...blankView(name, title), status: 'on the command line', ...told };
  }

  view(): StepView {
    return this.#view;
  }

  act(): void {}
}

const sun = 'Never look at or near the Sun through any instrument, finder included; cap both.';

export const skySheets = (): SheetStep[] => [
  new CommandSheet('sights', 'Sights of stars', {
    toDo: [
      'At the terminal: lodepole sight',
      'Centre a star that you can name, let the mount rest, and note the moment.',
    ],
    howSure: 'Four sights, on both sides of the mount, know the pole to a few arcminutes; the compass cannot.',
    next: 'Nudge again by the answer, then watch the drift of a star.',
    cautions: [sun],
  }),
  new CommandSheet('drift', 'Drift of a star', {
    toDo: [
      'At the terminal: lodepole drift',
      'Watch how far a star near the meridian leaves the middle in five minutes.',
    ],
    howSure: 'Common practice: an arcminute of error drifts at most about a quarter of an arcsecond in a minute.',
    next: 'Ask whether it is good enough.',
  }),
  new CommandSheet('enough', 'Good enough?', {
    toDo: ['At the terminal: lodepole enough', 'Give exposure, focal length and pixel, or eyepiece field and minutes.'],
    howSure: 'The verdict counts in how well the errors are known.',
    next: 'Observe.',
  }),
];
