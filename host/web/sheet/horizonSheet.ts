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
    const blank = blankView(this.name, 'Horizon');
    const { session } = this.night;
    if (!session.site)
      return { ...blank, toDo: ['Type the site first.'], howSure: 'Stars behind trees are not recommended.' };
    const { site } = this.night;
    const sectors = site.horizon ?? [];
    if (this.step)
      return {
        ...blank,
        status: 'under way',
        figure: `${(100 * this.step.progress().coverage).toFixed(0)} percent`,
        toDo: ["Point the board's x arrow at the tree line. Sweep slowly along it, once round."],
        howSure: 'The program adds two degrees to your trace.',
        actions: [finishAction, cancelAction],
      };
    return {
      ...blank,
      status: sectors.length > 0 ? 'done' : 'to do',
      figure: sectors.length > 0 ? `${sectors.length} stretches hidden` : '',
      toDo: [
        this.isKept
          ? `Kept ${session.virtual !== undefined ? 'until the program ends' : 'with the site'}: stars behind it are not recommended.`
          : 'Say what hides the sky: the program then recommends visible stars only.',
        'Type it, or trace it: before you clip the board on, hold it and sweep its arrow along the tree line.',
      ],
      howSure: "If you cannot see the recommended star, type another star's name.",
      next: 'Level the base, or go on to the swing.',
      fields: [
        {
          name: 'sectors',
          label: 'Hidden: from-to:altitude, clockwise',
          value: sectors.map(sectorText).join(', '),
          hint: '330-60:55, 120-180:20',
        },
      ],
      actions: [{ name: 'keep', label: 'Keep what is typed' }, ...this.beginnings('Trace it', 'Hands sweep the board')],
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
