import { degree } from '../../../calibration/angle.ts';
import { exitCode, Failure } from '../../failure.ts';
import { parseElevation, positionText } from '../../site/coordinates.ts';
import { fieldAt, type SiteField } from '../../site/field.ts';
import { parsePosition } from '../../site/position.ts';
import { polesOf, type Site } from '../../site/site.ts';
import { saveSite } from '../../store/site.ts';
import { plainAngle } from '../../words/reading.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { cautions } from '../../words/cautions.ts';
import { blankView } from './blankView.ts';
import { sized } from './giveOrTake.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';
import { texts } from './words/site.ts';

/** Where the mount stands, and what follows from it: pole, variation, dip, field. */
export class SiteSheet implements SheetStep {
  readonly name = 'site';
  private readonly night: Night;
  private known: { site: Site; field: SiteField } | undefined;
  private saved: Site | undefined;
  private isElsewhere = false;
  /** What the writing of the position says of itself. */
  private remark = '';

  constructor(night: Night) {
    this.night = night;
  }

  view(): StepView {
    const blank = {
      ...blankView(this.name, texts.title),
      cautions: [cautions.magnetic, cautions.rules],
      fields: [
        {
          name: 'position',
          label: this.night.session.site ? texts.otherPositionLabel : texts.positionLabel,
          value: '',
          hint: texts.positionHint,
        },
        { name: 'elevation', label: texts.elevationLabel, value: '', hint: texts.elevationHint },
      ],
      actions: [{ name: 'save', label: texts.keepButton, isMain: true }],
    };
    const { site } = this.night.session;
    if (!site) return { ...blank, toDo: [texts.typePosition] };
    const field = this.fieldOf(site);
    const { truePole, refractedPole } = polesOf(site);
    const pole = site.latitudeRad >= 0 ? 'north' : 'south';
    const variation = texts.variation(plainAngle(field.variationRad / degree, 0.2), field.variationRad >= 0);
    return {
      ...blank,
      status: 'done',
      figure: site.name ?? plainAngle(site.latitudeRad / degree, 0.2) + (pole === 'north' ? ' N' : ' S'),
      toDo: this.toDo(),
      measured: [
        { label: texts.positionLabel, value: positionText(site) },
        { label: texts.truePole(pole), value: texts.high((truePole.altitudeRad / degree).toFixed(2)) },
        { label: texts.refractedPole, value: texts.high((refractedPole.altitudeRad / degree).toFixed(2)) },
        { label: texts.variationLabel, value: `${variation}` },
        { label: texts.dipLabel, value: `${(field.dipRad / degree).toFixed(1)}°` },
        { label: texts.fieldLabel, value: texts.field(field.fieldNt.toFixed(0), field.horizontalNt.toFixed(0)) },
      ],
      howSure: texts.whereVariationComesFrom(
        sized(field.sigmaVariationRad, field.sigmaVariationRad).split(', ')[1],
        field.modelValidUntil,
      ),
      next: field.zone === 'ok' ? texts.thenTumble : field.notes.join(' '),
    };
  }

  private toDo(): string[] {
    const { virtual, moveTo } = this.night.session;
    const position = this.saved && positionText(this.saved);
    if (position && !moveTo) return [texts.savedForRealBoard(position, this.remark, virtual !== undefined)];
    if (position)
      return [texts.savedForNeedles(position, this.remark), ...(this.isElsewhere ? [texts.repeatOthers] : [])];
    return [virtual ? texts.virtualMountHere : texts.checkPosition];
  }

  /** The magnetic model is asked once for each site: the view is looked at several times a second. */
  private fieldOf(site: Site): SiteField {
    if (this.known?.site !== site) this.known = { site, field: fieldAt(site, new Date()) };
    return this.known.field;
  }

  async act({ fields }: StepRequest): Promise<void> {
    const site = this.typed(fields);
    const isFirst = this.night.session.site === undefined;
    const [saved, moved] = await Promise.allSettled([saveSite(site), this.night.moveTo(site)]);
    for (const result of [saved, moved]) if (result.status === 'rejected') throw result.reason;
    this.saved = site;
    this.isElsewhere = !isFirst && moved.status === 'fulfilled' && moved.value;
  }

  /** As `site --save` reads it: another position has neither the horizon nor the deviation of the old one. */
  private typed({ position, elevation }: StepRequest['fields']): Site {
    const elevationM = elevation ? parseElevation(elevation) : undefined;
    this.remark = '';
    if (position) {
      const { remark, ...typed } = parsePosition(position);
      this.remark = remark;
      return { ...typed, elevationM: elevationM ?? typed.elevationM ?? 0 };
    }
    const { site, moveTo } = this.night.session;
    if (site && moveTo && elevationM !== undefined) return { ...this.night.site, elevationM };
    throw new Failure(
      exitCode.usage,
      'The position is missing.',
      'Type latitude, then longitude, for example 46.43, -118.60.',
    );
  }
}
