import { degree } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../failure.ts';
import { say } from '../output.ts';
import { changeSite, loadSite } from './site.ts';
import type { Deviation, Site } from '../site/site.ts';

/** About 60 m. */
const samePlaceRad = 1e-5;

/** For both the pole and the field are the same, as far as can be measured here. */
export const isSamePlace = (one: Site, other: Site): boolean => {
  const isSame = (a: number, b: number): boolean => Math.abs(a - b) < samePlaceRad;
  return isSame(one.latitudeRad, other.latitudeRad) && isSame(one.longitudeRad, other.longitudeRad);
};

/** For copying: to a hundred-thousandth of a degree, a metre. */
const saveCommand = ({ latitudeRad, longitudeRad }: Site): string => {
  const [lat, lon] = [latitudeRad, longitudeRad].map((rad) => Number((rad / degree).toFixed(5)));
  return `lodepole site --lat ${lat} --lon ${lon} --save`;
};

/**
 * Keeps the deviation that a stand-off found with the saved site. One that the Sun found stays: the iron is in it already.
 * @param deviation what the compass of the site is to be corrected by from now on, any kept before replaced
 * @returns the site with it. Throws Failure with why it is not kept.
 */
export async function keepStandoffDeviation(site: Site, deviation: Omit<Deviation, 'foundBy'>): Promise<Site> {
  return changeSite((saved) => ({
    ...keepsStandoff(saved, site),
    deviation: { ...deviation, foundBy: 'a stand-off' },
  }));
}

/** Throws Failure, before anything is measured, where what a stand-off at `site` finds could not be kept. */
export async function checkKeepsStandoff(site: Site | undefined): Promise<void> {
  const saved = await loadSite();
  if (saved || site) {
    keepsStandoff(saved, site ?? saved!);
    return;
  }
  throw new Failure(
    exitCode.usage,
    'The deviation could not be saved: no site is saved.',
    'Save it first: lodepole site --lat 46.43 --lon -118.6 --save. Or leave out --keep.',
  );
}

function keepsStandoff(saved: Site | undefined, site: Site): Site {
  if (!saved || !isSamePlace(saved, site)) {
    throw new Failure(
      exitCode.usage,
      'The deviation is not saved: this is not the saved site.',
      `Save it first: on the page in the step Site, or with ${saveCommand(site)}`,
    );
  }
  if (saved.deviation?.foundBy === 'the Sun') {
    throw new Failure(
      exitCode.usage,
      'The deviation is not saved: the deviation found by the Sun already includes this iron.',
      'Nothing needs to be done.',
    );
  }
  return saved;
}

/**
 * Keeps the compass' own deviation with the saved site, and with no other: undefined, and said, where `site` is another.
 * @param deviationRad azimuth error by the compass less the one by the Sun
 */
export async function keepSunDeviation(
  site: Site,
  deviationRad: number,
  sigmaRad: number,
  utc: Date,
): Promise<Site | undefined> {
  const known = await loadSite();
  if (!known || !isSamePlace(known, site)) {
    say(`The deviation is not saved: this is not the saved site. Save it first: ${saveCommand(site)}`);
    return undefined;
  }
  const kept = await changeSite((saved = known) => {
    // Too far east of the north pole means that magnetic north stands west of where it was taken; in the south the other way.
    const further = site.latitudeRad >= 0 ? -deviationRad : deviationRad;
    const eastRad = further + (saved.deviation?.eastRad ?? 0);
    return { ...saved, deviation: { eastRad, sigmaRad, keptUtc: utc.toISOString(), foundBy: 'the Sun' } };
  });
  say('The deviation is saved with the site; the needles use it from now on.');
  return kept;
}
