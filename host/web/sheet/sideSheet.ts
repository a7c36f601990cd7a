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
import { texts } from './words/side.ts';

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
      ...blankView(this.name, texts.title),
      cautions: [cautions.sun, cautions.counterweight],
      toDo: [texts.nameTarget],
      howSure: texts.counterweightBelow,
      fields: [{ name: 'star', label: texts.targetLabel, value: '', hint: texts.targetHint }],
      next: texts.observe,
      ...this.told,
      actions: [
        { name: 'list', label: texts.listButton, isMain: true },
        { name: 'show', label: texts.showButton },
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
          label: texts.target(name, where),
          value: texts.belongs(sideNow.side, untilWords(sideNow)),
        })),
      };
    } else {
      const target = targetNamed(fields.star ?? '');
      const name = nameOf(target);
      const sideNow = mountSideOf(target, site, now, { allowedRad: 0 });
      this.told = {
        status: 'done',
        figure: name === 'Sun' ? '' : texts.tubeSide(sideNow.side),
        toDo: sideWords(name, sideNow, now, allowedDeg, notNowWords(target, site, now)),
        measured: [],
      };
    }
    if (carried.answer()) await carried.log.noteStep('observe', texts.noted);
  }
}
