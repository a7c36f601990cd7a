import { Body, DefineStar, Equator, MakeTime, Observer, SiderealTime } from 'astronomy-engine';
import { arcsecond, degree, wrapPi, wrapTwoPi } from '../../calibration/angle.ts';
import { refractionOfTrueAltitude, type AirConditions } from '../../calibration/refraction.ts';
import { exitCode, Failure } from '../failure.ts';
import type { Site } from '../site/site.ts';
import type { Star } from './stars.ts';

/** A direction in the equatorial frame of a stated equinox. */
interface Equatorial {
  rightAscensionRad: number;
  declinationRad: number;
}

export type Target =
  | { kind: 'star'; star: Star }
  | { kind: 'body'; body: Body }
  /** Mean place of the equinox J2000 or apparent place of date. */
  | { kind: 'direction'; direction: Equatorial; equinox: 'J2000' | 'date' };

/** Where a target stands at one instant, seen from one site; topocentric, apparent place of date. */
export interface Place extends Equatorial {
  /** Unrefracted, over the geodetic horizon. */
  altitudeRad: number;
  azimuthRad: number;
  /** West positive, -pi..pi. */
  hourAngleRad: number;
  refractedAltitudeRad: number;
}

const firstYear = 1900;
const lastYear = 2100;
const lightYearsPerParsec = 3.261563777;
/** So far away that the Earth's orbit does not show. */
const farLightYears = 1e6;
const starBody = Body.Star1;

/** Refuses dates for which Earth rotation and star motions are not known well enough. */
export function checkDate(date: Date): void {
  const year = date.getUTCFullYear();
  if (year >= firstYear && year < lastYear) return;
  throw new Failure(
    exitCode.usage,
    `The sky of ${Number.isNaN(year) ? 'this date' : date.toISOString()} is outside the models (${firstYear} to ${lastYear - 1}).`,
    'Check the date and the clock.',
  );
}

/** The star's ICRS direction at `date`: straight motion at constant speed on the sky (Meeus 1998, ch. 21), exact to 0.01 arcsecond per century here. */
export function withProperMotion(star: Star, date: Date): Equatorial {
  const years = MakeTime(date).tt / 365.25;
  return {
    rightAscensionRad: wrapTwoPi(
      star.rightAscensionRad + (years * star.properMotionRaCosDecRad) / Math.cos(star.declinationRad),
    ),
    declinationRad: star.declinationRad + years * star.properMotionDecRad,
  };
}

/** Greenwich apparent sidereal time, radians. */
export const siderealTimeRad = (date: Date): number => (SiderealTime(date) / 12) * Math.PI;

const observerOf = (site: Site): Observer =>
  new Observer(site.latitudeRad / degree, site.longitudeRad / degree, site.elevationM);

const hours = (angleRad: number): number => (angleRad / Math.PI) * 12;

/** Apparent topocentric place of date: precession, nutation, aberration, parallax of star and site (astronomy-engine). */
function apparentPlace(target: Target, site: Site, date: Date): Equatorial {
  if (target.kind === 'direction' && target.equinox === 'date') return target.direction;
  let body = starBody;
  if (target.kind === 'body') body = target.body;
  else {
    const { rightAscensionRad, declinationRad } =
      target.kind === 'star' ? withProperMotion(target.star, date) : target.direction;
    const distance =
      target.kind === 'star' && target.star.parallaxRad > 0
        ? (lightYearsPerParsec * arcsecond) / target.star.parallaxRad
        : farLightYears;
    DefineStar(starBody, hours(wrapTwoPi(rightAscensionRad)), declinationRad / degree, distance);
  }
  const { ra, dec } = Equator(body, date, observerOf(site), true, true);
  return { rightAscensionRad: (ra / 12) * Math.PI, declinationRad: dec * degree };
}

/** Altitude and azimuth of an hour angle and declination (Meeus 1998, eq. 13.5 and 13.6, azimuth from north). */
export function horizontalOf(hourAngleRad: number, declinationRad: number, latitudeRad: number) {
  const [sinH, cosH] = [Math.sin(hourAngleRad), Math.cos(hourAngleRad)];
  const [sinD, cosD] = [Math.sin(declinationRad), Math.cos(declinationRad)];
  const [sinL, cosL] = [Math.sin(latitudeRad), Math.cos(latitudeRad)];
  const north = sinD * cosL - cosD * cosH * sinL;
  const east = -cosD * sinH;
  const up = sinD * sinL + cosD * cosH * cosL;
  return { altitudeRad: Math.atan2(up, Math.hypot(north, east)), azimuthRad: wrapTwoPi(Math.atan2(east, north)) };
}

/** Where `target` stands at `date` seen from `site`. Throws Failure for a date outside the models. */
export function placeOf(target: Target, site: Site, date: Date, air?: AirConditions): Place {
  checkDate(date);
  const equatorial = apparentPlace(target, site, date);
  const hourAngleRad = wrapPi(siderealTimeRad(date) + site.longitudeRad - equatorial.rightAscensionRad);
  const horizontal = horizontalOf(hourAngleRad, equatorial.declinationRad, site.latitudeRad);
  return {
    ...equatorial,
    ...horizontal,
    hourAngleRad,
    refractedAltitudeRad: horizontal.altitudeRad + refractionOfTrueAltitude(horizontal.altitudeRad, air),
  };
}
