import { refractionOfTrueAltitude, type AirConditions } from '../../calibration/refraction.ts';
import { truePole, type Horizontal } from '../../calibration/polarAxis.ts';
import type { HorizonSector } from './horizon.ts';

/** Where the mount stands: geodetic (WGS 84), north and east positive. */
export interface Site {
  name?: string;
  latitudeRad: number;
  longitudeRad: number;
  elevationM: number;
  /** What hides the sky there; absent: nothing is known to. */
  horizon?: readonly HorizonSector[];
  deviation?: Deviation;
}

/** How far east of the model's magnetic north a compass points at a site. */
export interface Deviation {
  eastRad: number;
  sigmaRad: number;
  keptUtc: string;
  /** The Sun finds all of it, what the model has wrong included; a stand-off finds the iron below the clip alone. */
  foundBy: 'the Sun' | 'a stand-off';
}

interface Poles {
  truePole: Horizontal;
  /** Where the pole appears to stand, lifted by the air. */
  refractedPole: Horizontal;
}

/** Direction of the elevated celestial pole with and without refraction. */
export function polesOf(site: Site, air?: AirConditions): Poles {
  const pole = truePole(site.latitudeRad);
  const lift = refractionOfTrueAltitude(pole.altitudeRad, air);
  return { truePole: pole, refractedPole: { ...pole, altitudeRad: pole.altitudeRad + lift } };
}
