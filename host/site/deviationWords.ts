import { degree } from '../../calibration/angle.ts';
import type { Deviation } from './site.ts';

/** "A deviation of 1.20 degrees toward east, found by the Sun on 2026-11-25, is counted in ..." */
export function deviationWords({ eastRad, sigmaRad, foundBy, keptUtc }: Deviation): string {
  const size = (Math.abs(eastRad) / degree).toFixed(2);
  const band = ((2 * sigmaRad) / degree).toFixed(2);
  return (
    `A deviation of ${size}° toward ${eastRad >= 0 ? 'east' : 'west'}, give or take ${band}°, found by ${foundBy} on ` +
    `${keptUtc.slice(0, 10)} is added to the variation; it holds for this very spot only.`
  );
}
