import { arcminute, arcsecond, degree } from '../../calibration/angle.ts';
import { adjustDrift, type DriftAdjustment, type DriftWatch } from '../../calibration/drift/adjustDrift.ts';
import { rankDriftStars, type DriftExpectation } from '../../calibration/drift/nextStar.ts';
import type { Gate } from '../../calibration/gate.ts';
import { exitCode, Failure } from '../failure.ts';
import { isHidden } from '../site/horizon.ts';
import type { Site } from '../site/site.ts';
import type { TypedReading } from './driftFile.ts';
import { placeOf } from '../sky/place.ts';
import { readingFloorRad } from './readingUnit.ts';
import type { Star } from '../sky/stars.ts';
import { seenDirection, starsToTake, whereWords } from '../sky/visible.ts';

/** Nothing is known before but that the axis was set with some care. */
const openPrior = {
  altitudeErrorRad: 0,
  azimuthErrorRad: 0,
  sigmaAltitudeErrorRad: 3 * degree,
  sigmaAzimuthErrorRad: 3 * degree,
};

export interface DriftOutcome {
  fit: DriftAdjustment;
  stars: readonly Star[];
  gates: Gate[];
}

/**
 * Errors of the axis from readings of one or more stars.
 * @param unitRad size of one unit of the readings
 * @param errorRad standard deviation of one reading; absent: found from the scatter
 * @param floorRad no reading is taken for better than this, whatever is stated or the scatter shows
 */
export function judgeDrift(
  readings: readonly TypedReading[],
  site: Site,
  unitRad: number,
  errorRad?: number,
  floorRad = readingFloorRad(unitRad),
): DriftOutcome {
  const stars = [...new Set(readings.map(({ star }) => star))];
  const watches = stars.map((star): DriftWatch => {
    const mine = readings.filter((reading) => reading.star === star).sort((a, b) => a.utc.getTime() - b.utc.getTime());
    const start = mine[0].utc.getTime();
    return {
      sigmaRad: errorRad,
      floorRad,
      readings: mine.map(({ utc, north }) => {
        const place = placeOf({ kind: 'star', star }, site, utc);
        if (place.refractedAltitudeRad < 0) {
          throw new Failure(
            exitCode.badData,
            `${star.name} was below the horizon at ${utc.toISOString()}.`,
            'Check the name of the star, the clock and the site.',
          );
        }
        return { timeS: (utc.getTime() - start) / 1000, starNed: seenDirection(place), northRad: north * unitRad };
      }),
    };
  });
  let fit: DriftAdjustment;
  try {
    fit = adjustDrift(watches, site.latitudeRad, openPrior);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new Failure(
      exitCode.badData,
      `The readings do not fit a line: ${error.message.replace(/^drift: /, '')}.`,
      'Take a reading every half minute for five minutes, at least five of each star.',
      { cause: error },
    );
  }
  return { fit, stars, gates: gatesOf(fit) };
}

function gatesOf({ chiSquared, degreesOfFreedom, lines }: DriftAdjustment): Gate[] {
  const gates: Gate[] = [];
  const spread = Math.sqrt(chiSquared / Math.max(degreesOfFreedom, 1));
  if (spread > 2) {
    gates.push({
      verdict: 'caution',
      reason: 'readings scatter about the line more than they should',
      value: spread,
      limit: 2,
      unit: 'sigmas',
      nextAction: 'Was the drive running, and north counted the same way throughout? Watch the star again.',
    });
  }
  const shortest = Math.min(...lines.map(({ spanS }) => spanS));
  if (shortest < 120) {
    gates.push({
      verdict: 'caution',
      reason: 'a star was watched for a short time only',
      value: shortest,
      limit: 120,
      unit: 's',
      nextAction: 'Watch it for five minutes.',
    });
  }
  return gates;
}

export interface DriftChoice extends Pick<DriftExpectation, 'tells' | 'sigmaAfterRad'> {
  star: Star;
  where: string;
}

/** Beyond, which way is north in the field changes too much while the star is watched. */
const highestDeclinationRad = 65 * degree;
/** A reading every 20 s to an arcsecond. */
const usualReading = { everyS: 20, sigmaRad: arcsecond };

/** Which star to watch now, best first, when the axis is known as `axisCovariance` tells. */
export function driftStars(
  site: Site,
  date: Date,
  axisCovariance: readonly [number, number, number, number],
  minutes: number,
): DriftChoice[] {
  const count = (minutes * 60) / usualReading.everyS + 1;
  const spreadS = (minutes * 60) / Math.sqrt(12);
  const sigmaRate = usualReading.sigmaRad / (Math.sqrt(count) * spreadS);
  const seen = starsToTake(site, date).filter(({ place }) => Math.abs(place.declinationRad) < highestDeclinationRad);
  return rankDriftStars(
    axisCovariance,
    site.latitudeRad,
    seen.map(({ starNed }) => starNed),
    sigmaRate,
  ).map(({ index, tells, sigmaAfterRad }) => ({
    star: seen[index].star,
    where: whereWords(seen[index].place),
    tells,
    sigmaAfterRad,
  }));
}

/** Throws Failure where a star stands below the horizon, or behind what is marked on it, with others to watch in its place. */
export function requireSeen(star: Star, site: Site, date: Date): void {
  const { azimuthRad, refractedAltitudeRad } = placeOf({ kind: 'star', star }, site, date);
  if (refractedAltitudeRad >= 0 && !isHidden(site.horizon, azimuthRad, refractedAltitudeRad)) return;
  const others = driftStars(site, date, roughCovariance, 5).slice(0, 3);
  throw new Failure(
    exitCode.usage,
    `${star.name} cannot be seen from there now.`,
    others.length === 0
      ? 'No other listed star is visible either.'
      : `Type the name of another star, for example ${others.map(({ star: other }) => other.name).join(', ')}.`,
  );
}

export const roughCovariance = [(30 * arcminute) ** 2, 0, 0, (30 * arcminute) ** 2] as const;
