import type { SwingSite } from '../../calibration/swing/types.ts';
import { fieldAt } from './field.ts';
import { polesOf, type Site } from './site.ts';

/** What a swing needs to know of a site, with the magnetic model at `date`. */
export function swingSite(site: Site, date: Date, pole: 'true' | 'refracted' = 'true'): SwingSite {
  const field = fieldAt(site, date);
  const { truePole, refractedPole } = polesOf(site);
  return {
    pole: pole === 'true' ? truePole : refractedPole,
    variationRad: field.variationRad,
    sigmaVariationRad: field.sigmaVariationRad,
    fieldNt: field.fieldNt,
    sigmaFieldNt: field.sigmaFieldNt,
    dipRad: field.dipRad,
    sigmaDipRad: field.sigmaDipRad,
  };
}
