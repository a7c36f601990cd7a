import { mountSideOf } from '../../sky/mountSide.ts';
import { notNowWords } from '../../sky/mayTake.ts';
import { noStarWords, starlight } from '../../sky/starlight.ts';
import { nameOf, targetNamed } from '../../sky/target.ts';
import { sideWords, untilWords } from '../../steps/sideReport.ts';
import { sidesNow } from '../../steps/sidesNow.ts';
import { cautions } from '../../words/cautions.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';

const mostListed = 10;
/** The counterweight may rise to here. */
const allowedDeg = 0;

/** On which side of the mount the tube belongs for each target, and when to flip. */
export class SideSheet implements SheetStep {
  readonly name = 'side';
  private readonly night: Night;
  private told: Partial<StepView> | undefined;

  constructor(night: Night) {
    this.night = night;
    night.onMoved(() => {
      this.told = undefined;
    });
  }

  view(): StepView {
    return {
      ...blankView(this.name, 'Side of the mount'),
      cautions: [cautions.sun, cautions.counterweight],
      toDo: [
        'Name a target, or list what can be seen now: on which side of the mount the tube belongs, and when to flip.',
      ],
      howSure: 'The counterweight then stays below the tube.',
      fields: [{ name: 'star', label: 'Star or planet', value: '', hint: 'Capella' }],
      next: 'Observe.',
      ...this.told,
      actions: [
        { name: 'list', label: 'List what can be seen now', isMain: true },
        { name: 'show', label: 'Show this target' },
      ],
    };
  }

  async act({ action, fields }: StepRequest): Promise<void> {
    const { site, carried } = this.night;
    const now = this.night.now();
    if (action === 'list') {
      const listed = sidesNow(site, now, allowedDeg, mostListed);
      this.told = {
        status: 'done',
        toDo: listed.length > 0 ? [] : [noStarWords(starlight(site, now))],
        measured: listed.map(({ name, where, sideNow }) => ({
          label: `${name}, ${where}`,
          value: `tube ${sideNow.side}; ${untilWords(sideNow)}`,
        })),
      };
    } else {
      const target = targetNamed(fields.star ?? '');
      const name = nameOf(target);
      const sideNow = mountSideOf(target, site, now, { allowedRad: 0 });
      this.told = {
        status: 'done',
        figure: name === 'Sun' ? '' : `tube ${sideNow.side}`,
        toDo: sideWords(name, sideNow, now, allowedDeg, notNowWords(target, site, now)),
        measured: [],
      };
    }
    if (carried.answer()) await carried.log.noteStep('observe', 'The sides of the mount were looked up.');
  }
}
