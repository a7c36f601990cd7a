import { arcminute, arcsecond } from '../../calibration/angle.ts';
import { adjustDrift, type DriftAdjustment, type DriftWatch } from '../../calibration/drift/adjustDrift.ts';
import { rankDriftStars } from '../../calibration/drift/nextStar.ts';
import { multiply, rotationAbout } from '../../calibration/vector.ts';
import { aimAt, offsetIn, siderealDriveRadPerS, viewOf } from '../../firmware-proto/virtual/eyepiece.ts';
import { placeOf } from '../../host/sky/place.ts';
import { seenDirection } from '../../host/sky/visible.ts';
import { mountFrame, visibleStars, type Night } from './sightNights.ts';

export const watchS = 300;
const everyS = 20;
const sigmaReadingRad = arcsecond;

/** Readings of one star over five minutes: the mount is driven about its own axis, the star is seen in the field. */
export function watchStar(night: Night, seen: ReturnType<typeof visibleStars>[number], start: Date): DriftWatch {
  const { site, truth, random } = night;
  const frame = mountFrame(truth.axis);
  const directionAt = (timeS: number) =>
    seenDirection(placeOf({ kind: 'star', star: seen.star }, site, new Date(start.getTime() + timeS * 1000)));
  const aim = aimAt(frame, truth, directionAt(0), seen.hourAngleRad < 0 ? 'west' : 'east');
  const readings = [];
  for (let timeS = 0; timeS <= watchS; timeS += everyS) {
    const driven = multiply(frame, rotationAbout([1, 0, 0], siderealDriveRadPerS(site.latitudeRad) * timeS));
    const starNed = directionAt(timeS);
    const offset = offsetIn(viewOf(driven, truth, aim), starNed)!;
    const north = site.latitudeRad >= 0 ? offset.upRad : -offset.upRad;
    readings.push({ timeS, starNed, northRad: north + sigmaReadingRad * random.normal() });
  }
  return { readings, sigmaRad: sigmaReadingRad };
}

/** Five minutes on each of two stars, each chosen for what it tells most. */
export function driftNight(night: Night): DriftAdjustment {
  const { latitudeRad } = night.site;
  const rough = (20 * arcminute) ** 2;
  const prior = {
    altitudeErrorRad: 0,
    azimuthErrorRad: 0,
    sigmaAltitudeErrorRad: 60 * arcminute,
    sigmaAzimuthErrorRad: 60 * arcminute,
  };
  const sigmaRate = sigmaReadingRad / (Math.sqrt(watchS / everyS + 1) * (watchS / Math.sqrt(12)));
  const watches: DriftWatch[] = [];
  let covariance: readonly [number, number, number, number] = [rough, 0, 0, rough];
  let fit: DriftAdjustment | undefined;
  for (let i = 0; i < 2; i += 1) {
    const at = new Date(night.start.getTime() + i * 2 * watchS * 1000);
    const visible = visibleStars(night, at);
    const [best] = rankDriftStars(
      covariance,
      latitudeRad,
      visible.map(({ ned }) => ned),
      sigmaRate,
    );
    watches.push(watchStar(night, visible[best.index], at));
    fit = adjustDrift(watches, latitudeRad, prior);
    covariance = fit.axisCovariance;
  }
  return fit!;
}
