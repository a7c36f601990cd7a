import { degree, wrapTwoPi } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../failure.ts';

/** A stretch of azimuth in which nothing below `altitudeRad` can be seen. Runs clockwise from `from` to `to`, across north where from > to. */
export interface HorizonSector {
  fromAzimuthRad: number;
  toAzimuthRad: number;
  altitudeRad: number;
}

const contains = ({ fromAzimuthRad: from, toAzimuthRad: to }: HorizonSector, azimuthRad: number): boolean =>
  from <= to ? azimuthRad >= from && azimuthRad <= to : azimuthRad >= from || azimuthRad <= to;

/** Whether trees, houses or hills hide a direction; the bare horizon hides all below it. */
export function isHidden(
  sectors: readonly HorizonSector[] | undefined,
  azimuthRad: number,
  altitudeRad: number,
): boolean {
  if (altitudeRad < 0) return true;
  const azimuth = wrapTwoPi(azimuthRad);
  return (sectors ?? []).some((sector) => altitudeRad < sector.altitudeRad && contains(sector, azimuth));
}

/**
 * Reads sectors as "330-60:55, 120-180:20": from azimuth to azimuth, clockwise, hidden below that altitude, all in
 * degrees. Throws Failure.
 */
export function parseSectors(text: string): HorizonSector[] {
  const refuse = (part: string, why: string): never => {
    throw new Failure(
      exitCode.usage,
      `The sector "${part}" is not understood: ${why}`,
      'Write sectors as "330-60:55, 120-180:20": from azimuth to azimuth, clockwise, hidden below that altitude.',
    );
  };
  if (text.trim() === '' || text.trim() === 'none') return [];
  return text.split(/[,;]/).map((part) => {
    const numbers = /^\s*(\d+(?:\.\d+)?)\s*-\s*(\d+(?:\.\d+)?)\s*:\s*(-?\d+(?:\.\d+)?)\s*$/.exec(part);
    if (!numbers) return refuse(part, 'it has not the form FROM-TO:ALTITUDE.');
    const [from, to, altitude] = numbers.slice(1).map(Number);
    if (from > 360 || to > 360) return refuse(part, 'an azimuth is above 360.');
    if (altitude < 0 || altitude > 90) return refuse(part, 'the altitude is not between 0 and 90.');
    return { fromAzimuthRad: from * degree, toAzimuthRad: to * degree, altitudeRad: altitude * degree };
  });
}
