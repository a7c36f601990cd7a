import { degree } from '../../../calibration/angle.ts';
import { fieldAt } from '../../site/field.ts';
import { isHidden, parseSectors, type HorizonSector } from '../../site/horizon.ts';
import { TraceStep } from '../../steps/traceStep.ts';
import { isSamePlace } from '../../store/deviation.ts';
import { changeSite } from '../../store/site.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { cancelAction, finishAction, GatheringSheet } from './gatheringSheet.ts';
import { skylineOf } from './skyline.ts';
import { texts } from './words/horizon.ts';

const sweepS = 40;

/** What hides the sky, typed or traced with the board; saved with the site. */
export class HorizonSheet extends GatheringSheet<TraceStep> {
  readonly name = 'horizon';
  protected override readonly takesBoard = true;
  private isKept = false;

  protected override forget(): void {
    this.isKept = false;
  }

  view(): StepView {
    const blank = blankView(this.name, texts.title);
    const { session } = this.night;
    if (!session.site) return { ...blank, toDo: [texts.siteFirst], howSure: texts.whyMark };
    const { site } = this.night;
    const sectors = site.horizon ?? [];
    if (this.step)
      return {
        ...blank,
        status: 'under way',
        figure: texts.swept((100 * this.step.progress().coverage).toFixed(0)),
        toDo: [texts.sweep],
        howSure: texts.margin,
        actions: [finishAction, cancelAction],
      };
    return {
      ...blank,
      status: sectors.length > 0 ? 'done' : 'to do',
      figure: sectors.length > 0 ? texts.hidden(sectors.length) : '',
      toDo: [this.isKept ? texts.kept(session.virtual !== undefined) : texts.sayWhatHides, texts.howToMark],
      howSure: texts.otherStar,
      next: texts.nextStep,
      fields: [
        {
          name: 'sectors',
          label: texts.sectorsLabel,
          value: sectors.map(sectorText).join(', '),
          hint: texts.sectorsHint,
        },
      ],
      actions: [{ name: 'keep', label: texts.keepButton }, ...this.beginnings(texts.traceButton, texts.handsButton)],
      drawing: skylineOf(site, [], undefined),
    };
  }

  /** By the tumble: the correction of a swing counts in the iron of the clip, and the board is in the hand. */
  protected async begin(): Promise<TraceStep> {
    const { correction } = await this.night.calibrationToUse();
    return new TraceStep(correction, fieldAt(this.night.site, this.night.now()).variationRad);
  }

  protected override press({ action, fields }: StepRequest): boolean | Promise<boolean> {
    if (action !== 'keep') return false;
    return this.keep(parseSectors(fields.sectors ?? '')).then(() => true);
  }

  /** Virtual hands follow the skyline of the scene. */
  protected async byHands(): Promise<void> {
    const { hands, session } = this.night;
    const hidden = session.site?.horizon;
    hands.sweep((azimuthRad) => {
      let altitudeDeg = 0;
      while (altitudeDeg < 85 && isHidden(hidden, azimuthRad, altitudeDeg * degree)) altitudeDeg += 1;
      return altitudeDeg * degree;
    }, sweepS);
    await hands.whenDone();
    await this.finish();
    hands.clip();
  }

  protected conclude(sectors: HorizonSector[]): Promise<void> {
    return this.keep(sectors);
  }

  private async keep(sectors: HorizonSector[]): Promise<void> {
    this.night.horizon = sectors;
    this.isKept = true;
    const { session, site } = this.night;
    if (session.virtual !== undefined) return;
    await changeSite((saved) => ({
      ...site,
      deviation: saved && isSamePlace(saved, site) ? saved.deviation : site.deviation,
    }));
  }
}

const sectorText = ({ fromAzimuthRad, toAzimuthRad, altitudeRad }: HorizonSector): string =>
  `${Math.round(fromAzimuthRad / degree)}-${Math.round(toAzimuthRad / degree)}:${Math.round(altitudeRad / degree)}`;
