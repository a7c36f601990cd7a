import { bandSigmas, plainAngle } from './reading.ts';

/** The pole itself lies within what this measurement can tell. */
const isAtPole = (distanceDeg: number, sigmaDeg: number): boolean => distanceDeg <= bandSigmas * sigmaDeg;

/** `12′ from the pole, give or take 4′.`; where the pole lies within the band, only how far off the axis can be. */
export function distanceWords(distanceDeg: number, sigmaDeg: number): string {
  const band = bandSigmas * sigmaDeg;
  return isAtPole(distanceDeg, sigmaDeg)
    ? `As near to the pole as this can tell: within ${plainAngle(distanceDeg + band, band)}.`
    : `${plainAngle(distanceDeg, band)} from the pole, give or take ${plainAngle(band, band)}.`;
}
