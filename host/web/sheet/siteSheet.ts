import { degree } from '../../../calibration/angle.ts';
import { exitCode, Failure } from '../../failure.ts';
import { parseElevation, parsePosition, positionText } from '../../site/coordinates.ts';
import { fieldAt, type SiteField } from '../../site/field.ts';
import { polesOf, type Site } from '../../site/site.ts';
import { saveSite } from '../../store/site.ts';
import { plainAngle } from '../../words/reading.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { sized } from './figures.ts';
import type { Night } from './night.ts';
import type { SheetStep } from './sheet.ts';

/** Where the mount stands, and what follows from it: pole, variation, dip, field. */
export class SiteSheet implements SheetStep {
  readonly name = 'site';
  readonly #site: Site | undefined;
  readonly #field: SiteField | undefined;
  readonly #isVirtual: boolean;
  #saved: Site | undefined;

  constructor({ session: { site, isVirtual } }: Night) {
    this.#isVirtual = isVirtual;
    this.#site = site;
    this.#field = site && fieldAt(site, new Date());
  }

  view(): StepView {
    const blank = {
      ...blankView(this.name, 'Site'),
      cautions: ['The magnetic azimuth is not for navigation.'],
      fields: [
        { name: 'position', label: 'Another position', value: '', hint: '41.26, -97.50 or 41d15’N 97d30’W' },
        { name: 'elevation', label: 'Elevation', value: '', hint: '350 m or 1150 ft' },
      ],
      actions: [{ name: 'save', label: 'Keep this position' }],
    };
    const site = this.#site;
    const field = this.#field;
    if (!site || !field) return { ...blank, toDo: ['Type where the mount stands, latitude first.'] };
    const { truePole, refractedPole } = polesOf(site);
    const pole = site.latitudeRad >= 0 ? 'north' : 'south';
    const variation = `${plainAngle(field.variationRad / degree, 0.2)} ${field.variationRad >= 0 ? 'east' : 'west'}`;
    return {
      ...blank,
      status: 'done',
      figure: site.name ?? plainAngle(site.latitudeRad / degree, 0.2) + (pole === 'north' ? ' N' : ' S'),
      toDo: this.#saved
        ? [`Kept: ${positionText(this.#saved)}. Start the program again, with a real board, to use it.`]
        : this.#isVirtual
          ? ['The virtual mount stands at this place; a kept site counts only with a real board.']
          : ['Check that this is where the mount stands.'],
      measured: [
        { label: 'Position', value: positionText(site) },
        { label: `True ${pole} pole`, value: `${(truePole.altitudeRad / degree).toFixed(2)}° high` },
        { label: 'As the air shows it', value: `${(refractedPole.altitudeRad / degree).toFixed(2)}° high` },
        { label: 'Variation', value: `${variation}` },
        { label: 'Dip', value: `${(field.dipRad / degree).toFixed(1)}°` },
        { label: 'Field', value: `${field.fieldNt.toFixed(0)} nT, level part ${field.horizontalNt.toFixed(0)} nT` },
      ],
      howSure: `The magnetic model knows the variation, ${sized(field.sigmaVariationRad, field.sigmaVariationRad).split(', ')[1]}: no compass can do better. It is valid until ${field.modelValidUntil}.`,
      next: field.zone === 'ok' ? 'Tumble the board in the hand.' : field.notes.join(' '),
    };
  }

  async act({ fields }: StepRequest): Promise<void> {
    if (!fields.position)
      throw new Failure(exitCode.usage, 'There is no position.', 'Type it as 41.26, -97.50, latitude first.');
    const site = {
      ...parsePosition(fields.position),
      elevationM: fields.elevation ? parseElevation(fields.elevation) : 0,
    };
    await saveSite(site);
    this.#saved = site;
  }
}
