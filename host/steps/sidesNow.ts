import { degree } from '../../calibration/angle.ts';
import { isHidden } from '../site/horizon.ts';
import type { Site } from '../site/site.ts';
import { mountSideOf, type MountSide } from '../sky/mountSide.ts';
import { placeOf } from '../sky/place.ts';
import { starlight } from '../sky/starlight.ts';
import { nameOf, targetNamed } from '../sky/target.ts';
import { lowestAltitudeRad, visibleStars, whereWords } from '../sky/visible.ts';

const wanderers = ['moon', 'mercury', 'venus', 'mars', 'jupiter', 'saturn'];

interface ListedSide {
  name: string;
  where: string;
  magnitude: number | null;
  sideNow: MountSide;
}

/** The planets and the Moon where they can be seen, then the brightest stars; nothing by day. */
export function sidesNow(site: Site, date: Date, allowedDeg: number, most: number): ListedSide[] {
  const { faintestMagnitude } = starlight(site, date);
  const isDark = faintestMagnitude > -Infinity;
  const shown = [
    ...(isDark ? wanderers : []).map(targetNamed).map((target) => ({ name: nameOf(target), magnitude: null, target })),
    ...visibleStars(site, date)
      .filter(({ star }) => star.magnitude <= faintestMagnitude)
      .sort((a, b) => a.star.magnitude - b.star.magnitude)
      .map(({ star }) => ({ name: star.name, magnitude: star.magnitude, target: { kind: 'star', star } as const })),
  ];
  const listed: ListedSide[] = [];
  for (const { name, magnitude, target } of shown) {
    if (listed.length === most) break;
    const place = placeOf(target, site, date);
    if (
      place.refractedAltitudeRad < lowestAltitudeRad ||
      isHidden(site.horizon, place.azimuthRad, place.refractedAltitudeRad)
    )
      continue;
    const sideNow = mountSideOf(target, site, date, { allowedRad: allowedDeg * degree });
    listed.push({ name, magnitude, where: whereWords(place), sideNow });
  }
  return listed;
}
