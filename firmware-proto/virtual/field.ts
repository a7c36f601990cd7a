import geomagnetism from 'geomagnetism';
import { degree } from '../../calibration/angle.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import type { Random } from './random.ts';
import type { Place } from './scene.ts';

/** The Earth's field at one place as a compass maker states it: variation east positive, dip down positive. */
export interface EarthField {
  variationRad: number;
  dipRad: number;
  fieldNt: number;
}

/** The package's WMM2025 throws outside these dates; the field changes by less than 0.1 degree in a year. */
const firstMs = Date.UTC(2024, 10, 14);
const lastMs = Date.UTC(2029, 10, 12);

/** World Magnetic Model 2025 (NOAA NCEI and British Geological Survey 2024); a date outside the model is moved to its edge. */
export function modelledField(place: Place, date: Date): EarthField {
  const guarded = new Date(Math.min(Math.max(date.getTime(), firstMs), lastMs));
  const point = geomagnetism
    .model(guarded)
    .point([place.latitudeRad / degree, place.longitudeRad / degree, place.elevationM / 1000]);
  return { variationRad: point.decl * degree, dipRad: point.incl * degree, fieldNt: point.f };
}

/**
 * Standard deviations by which a real field differs from the model: error model of the WMM2025 report,
 * declination sqrt(0.26^2 + (5417/H)^2) degrees with H in nT, inclination 0.20 degrees, total field 138 nT.
 */
export function fieldSigmas({ dipRad, fieldNt }: EarthField): EarthField {
  const horizontalNt = fieldNt * Math.cos(dipRad);
  return { variationRad: Math.hypot(0.26, 5417 / horizontalNt) * degree, dipRad: 0.2 * degree, fieldNt: 138 };
}

/** A real field: the model plus one draw of its error. */
export function drawField(modelled: EarthField, random: Random): EarthField {
  const sigma = fieldSigmas(modelled);
  return {
    variationRad: modelled.variationRad + sigma.variationRad * random.normal(),
    dipRad: modelled.dipRad + sigma.dipRad * random.normal(),
    fieldNt: modelled.fieldNt + sigma.fieldNt * random.normal(),
  };
}

/** North-east-down components in nT. */
export function fieldNed({ variationRad, dipRad, fieldNt }: EarthField): Vector3 {
  const horizontalNt = fieldNt * Math.cos(dipRad);
  return [horizontalNt * Math.cos(variationRad), horizontalNt * Math.sin(variationRad), fieldNt * Math.sin(dipRad)];
}
