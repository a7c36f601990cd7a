import geomagnetism from 'geomagnetism';
import { degree, wrapPi } from '../../calibration/angle.ts';
import { deviationWords } from './deviationWords.ts';
import type { Deviation, Site } from './site.ts';

/** The Earth's field that the World Magnetic Model gives for a site and date, with the model's own standard deviations. */
export interface SiteField {
  /** Variation (declination of the compass), east positive; with the deviation that was kept for the site. */
  variationRad: number;
  /** Dip, down positive. */
  dipRad: number;
  fieldNt: number;
  horizontalNt: number;
  northNt: number;
  eastNt: number;
  downNt: number;
  sigmaVariationRad: number;
  sigmaDipRad: number;
  sigmaFieldNt: number;
  sigmaHorizontalNt: number;
  /** ISO date after which the model is no longer supported by its makers. */
  modelValidUntil: string;
  /** Around the magnetic poles a compass is weak (caution) or useless (blackout): WMM2025 report, section 1.8. */
  zone: 'ok' | 'caution' | 'blackout';
  /** What the user must be told, as sentences; empty when all is well. */
  notes: string[];
}

/** WMM2025 report (doi 10.25923/prbc-s316), section 3.4: global one-sigma of the model at the surface, crust included. */
export const modelError = { dipRad: 0.2 * degree, fieldNt: 138, horizontalNt: 133 };

/** WMM2025 report, equation 43: sigma of the variation; grows without bound toward the magnetic poles. */
export const sigmaVariationRad = (horizontalNt: number): number => Math.hypot(0.26, 5417 / horizontalNt) * degree;

const blackoutNt = 2000;
const cautionNt = 6000;

/** The model is linear in time, so two instants that the package counts exactly give every other one. */
const anchorYears = [2025, 2029] as const;
const anchors = anchorYears.map((year) => geomagnetism.model(new Date(Date.UTC(year, 0, 1))));
const validYears = { from: 2024.865, to: 2030 };

/** Decimal year with the true length of each year (the geomagnetism package counts 365 days in all of them). */
export function decimalYear(date: Date): number {
  const year = date.getUTCFullYear();
  const start = Date.UTC(year, 0, 1);
  return year + (date.getTime() - start) / (Date.UTC(year + 1, 0, 1) - start);
}

/** Growth of what the model does not know, per year beyond its dates: our own caution, about the secular change met at mid latitudes. */
const beyondPerYear = { angleRad: 0.1 * degree, fieldNt: 50 };

/**
 * World Magnetic Model 2025 at `site` and `date`. Never throws for a date: outside the model's dates the nearest valid
 * instant is taken, the sigmas are widened and `notes` says so.
 */
export function fieldAt(site: Site, date: Date): SiteField {
  const asked = decimalYear(date);
  const year = Math.min(Math.max(asked, validYears.from), validYears.to);
  const fraction = (year - anchorYears[0]) / (anchorYears[1] - anchorYears[0]);
  const [early, late] = anchors.map((model) =>
    model.point([site.latitudeRad / degree, site.longitudeRad / degree, site.elevationM / 1000]),
  );
  const northNt = early.x + fraction * (late.x - early.x);
  const eastNt = early.y + fraction * (late.y - early.y);
  const downNt = early.z + fraction * (late.z - early.z);
  const horizontalNt = Math.hypot(northNt, eastNt);
  const yearsBeyond = Math.abs(asked - year);
  const zone = horizontalNt < blackoutNt ? 'blackout' : horizontalNt < cautionNt ? 'caution' : 'ok';

  const notes: string[] = [];
  if (yearsBeyond > 0) {
    notes.push(
      `The date ${date.toISOString().slice(0, 10)} lies outside the World Magnetic Model 2025 (2024-11-13 to 2029-12-31): ` +
        'the nearest date is used and its uncertainty widened. Check the clock, or update Lodepole.',
    );
  }
  if (zone !== 'ok') {
    notes.push(
      `The horizontal field here is ${horizontalNt.toFixed(0)} nT, ` +
        (zone === 'blackout'
          ? `under the limit of ${blackoutNt} nT: a compass does not work here. Use sights, drift or the Sun's shadow.`
          : `under ${cautionNt} nT: a compass is weak here. Trust sights, drift or the Sun's shadow more.`),
    );
  }
  const modelSigmaRad = Math.hypot(sigmaVariationRad(horizontalNt), yearsBeyond * beyondPerYear.angleRad);
  const { deviation } = site;
  if (deviation) notes.push(deviationWords(deviation));
  return {
    variationRad: wrapPi(Math.atan2(eastNt, northNt) + (deviation?.eastRad ?? 0)),
    dipRad: Math.atan2(downNt, horizontalNt),
    fieldNt: Math.hypot(horizontalNt, downNt),
    horizontalNt,
    northNt,
    eastNt,
    downNt,
    sigmaVariationRad: sigmaWith(deviation, modelSigmaRad),
    sigmaDipRad: Math.hypot(modelError.dipRad, yearsBeyond * beyondPerYear.angleRad),
    sigmaFieldNt: Math.hypot(modelError.fieldNt, yearsBeyond * beyondPerYear.fieldNt),
    sigmaHorizontalNt: Math.hypot(modelError.horizontalNt, yearsBeyond * beyondPerYear.fieldNt),
    modelValidUntil: '2029-12-31',
    zone,
    notes,
  };
}

/** The Sun's deviation takes the place of what the model does not know; a stand-off's adds its own sigma to it. */
function sigmaWith(deviation: Deviation | undefined, modelSigmaRad: number): number {
  if (!deviation) return modelSigmaRad;
  return deviation.foundBy === 'the Sun' ? deviation.sigmaRad : Math.hypot(modelSigmaRad, deviation.sigmaRad);
}
