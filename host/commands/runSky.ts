import { degree } from '../../calibration/angle.ts';
import { standardAir, type AirConditions } from '../../calibration/refraction.ts';
import { exitCode, Failure } from '../failure.ts';
import { printJson, printResult, say } from '../output.ts';
import { clockCautions } from '../site/clock.ts';
import { parseInstant } from '../site/instant.ts';
import { sayCautions } from './sayCautions.ts';
import { requireSite, type SiteOptions } from './siteOptions.ts';
import { placeOf, type Place, type Target } from '../sky/place.ts';
import { starsCredit } from '../sky/stars.ts';
import { nameOf } from '../sky/target.ts';
import { targetOf, type TargetOptions } from './targetOptions.ts';
import { cautions } from '../words/cautions.ts';
import { inDeg } from '../words/figures.ts';
import { texts } from './words/sky.ts';

export interface SkyOptions extends SiteOptions, TargetOptions {
  at: string;
  pressure?: string;
  temperature?: string;
  json?: boolean;
}

function numberWithin(name: string, text: string | undefined, usual: number, low: number, high: number): number {
  if (text === undefined) return usual;
  const value = text.trim() === '' ? NaN : Number(text);
  if (value >= low && value <= high) return value;
  throw new Failure(exitCode.usage, `The ${name} "${text}" is not a number.`, `Give ${low} to ${high}.`);
}

const airOf = (options: SkyOptions): AirConditions => ({
  pressureHpa: numberWithin('pressure in hPa', options.pressure, standardAir.pressureHpa, 300, 1100),
  temperatureC: numberWithin('temperature', options.temperature, standardAir.temperatureC, -70, 60),
});

/** The `sky` command. */
export async function runSky(options: SkyOptions): Promise<void> {
  const target = targetOf(options);
  const site = await requireSite(options);
  const date = parseInstant(options.at);
  const place = placeOf(target, site, date, airOf(options));
  const below = place.refractedAltitudeRad < 0;
  if (options.at === 'now') for (const caution of await clockCautions()) say(`Caution: ${caution}`);
  if (nameOf(target) === 'Sun') sayCautions(cautions.sun);
  if (below) say(texts.belowHorizon(nameOf(target)));
  if (options.json) {
    printJson({
      name: nameOf(target),
      ...(target.kind === 'star' && {
        bayer: target.star.bayer,
        hip: target.star.hip,
        magnitude: target.star.magnitude,
        credit: starsCredit,
      }),
      timeUtc: date.toISOString(),
      altitudeDeg: inDeg(place.altitudeRad),
      azimuthDeg: inDeg(place.azimuthRad),
      hourAngleDeg: inDeg(place.hourAngleRad),
      refractedAltitudeDeg: inDeg(place.refractedAltitudeRad),
      rightAscensionDeg: inDeg(place.rightAscensionRad),
      declinationDeg: inDeg(place.declinationRad),
      aboveHorizon: !below,
    });
  } else {
    printResult(skyText(target, place, date));
    if (target.kind === 'star') say(starsCredit);
  }
}

function skyText(target: Target, place: Place, date: Date): string {
  const angle = (angleRad: number): string => `${(angleRad / degree).toFixed(3)}°`;
  const side = place.hourAngleRad < 0 ? texts.eastRising : texts.westSinking;
  const name =
    target.kind === 'star' ? texts.star(target.star.name, target.star.bayer, target.star.hip) : nameOf(target);
  return [
    texts.at(name, date.toISOString().slice(0, 19).replace('T', ' ')),
    texts.altitude(angle(place.altitudeRad), angle(place.refractedAltitudeRad)),
    texts.azimuth(angle(place.azimuthRad)),
    texts.hourAngle(angle(place.hourAngleRad), side),
    texts.declination(angle(place.declinationRad)),
  ].join('\n');
}
