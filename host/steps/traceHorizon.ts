import { degree } from '../../calibration/angle.ts';
import type { Horizontal } from '../../calibration/polarAxis.ts';
import type { HorizonSector } from '../site/horizon.ts';

const stepRad = 5 * degree;
const steps = Math.round((2 * Math.PI) / stepRad);
/** Neighbouring steps whose skylines differ by less are one sector. */
const alikeRad = 4 * degree;
/** What is seen between two leaves is not worth a star. */
const marginRad = 2 * degree;
const lowestRad = 3 * degree;

/** Gathers where the board was pointed while it swept along the skyline; keeps one number for every 5 degrees of azimuth. */
export class HorizonTrace {
  private readonly highest = new Float64Array(steps).fill(NaN);

  offer({ azimuthRad, altitudeRad }: Horizontal): void {
    const index = Math.floor(azimuthRad / stepRad) % steps;
    if (!Number.isFinite(altitudeRad) || !(index >= 0)) return;
    this.highest[index] = Number.isNaN(this.highest[index]) ? altitudeRad : Math.max(this.highest[index], altitudeRad);
  }

  /** Share of the horizon that was swept, 0..1. */
  coverage(): number {
    return this.highest.filter((altitude) => !Number.isNaN(altitude)).length / steps;
  }

  /**
   * Sectors that hide what was below the board's line, a little more than was traced; where nothing was traced, nothing
   * is marked. Each step lies in exactly one sector at most.
   */
  sectors(): HorizonSector[] {
    const found: HorizonSector[] = [];
    for (let index = 0; index < steps; index += 1) {
      const altitudeRad = this.highest[index] + marginRad;
      if (!(this.highest[index] > lowestRad)) continue;
      const fromAzimuthRad = index * stepRad;
      const last = found[found.length - 1];
      const joins = last?.toAzimuthRad === fromAzimuthRad && Math.abs(last.altitudeRad - altitudeRad) < alikeRad;
      if (joins) {
        found[found.length - 1] = {
          ...last,
          toAzimuthRad: (index + 1) * stepRad,
          altitudeRad: Math.max(last.altitudeRad, altitudeRad),
        };
      } else found.push({ fromAzimuthRad, toAzimuthRad: (index + 1) * stepRad, altitudeRad });
    }
    return found;
  }
}
