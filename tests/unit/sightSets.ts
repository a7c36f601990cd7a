// Sights of a known axis, for tests of what is made of them.
import { arcminute, degree } from '../../calibration/angle.ts';
import { predictedRoll, type Sight } from '../../calibration/sight/sightModel.ts';
import type { SightPrior } from '../../calibration/sight/sightPrior.ts';
import { starNed } from '../../firmware-proto/virtual/eyepiece.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

export const prior: SightPrior = {
  altitudeError: { valueRad: 0.2 * degree, sigmaRad: 0.3 * degree },
  azimuthError: { valueRad: -0.3 * degree, sigmaRad: 0.7 * degree },
  rollZero: { valueRad: 1.1, sigmaRad: 0.4 * degree },
  sigmaConeRad: 12 * arcminute,
  sigmaNonPerpendicularityRad: 7 * arcminute,
  sigmaRoundRad: 3 * arcminute,
};
export const truth = [14, -20, 0, 6, -4, 2, -3].map((arcminutes) => arcminutes * arcminute);
truth[2] = 1.103;

/** Hour angle, declination, side, sigma of the roll and of the level in arcminutes: no two alike. */
const places = [
  [-50, 20, 'west', 4, 3],
  [35, -12, 'east', 6, 0],
  [-15, 55, 'west', 5, 2],
  [70, 40, 'east', 7, 4],
  [10, 5, 'west', 3.5, 0],
] as const;

/** Sights of that truth, a little off, some of them after the bolts were turned. */
export function sightsAt(latitudeRad: number): Sight[] {
  const random = new Random(12);
  return places.map(([hourAngle, declination, side, sigma, levelSigma], i) => {
    const star = starNed(latitudeRad, { hourAngleRad: hourAngle * degree, declinationRad: declination * degree });
    const moved = i < 2 ? { altitudeRad: 9 * arcminute, azimuthRad: -13 * arcminute } : undefined;
    const sigmaRad = sigma * arcminute;
    const rollRad = predictedRoll({ starNed: star, side, moved }, latitudeRad, truth) + sigmaRad * random.normal();
    const axisRad = Math.abs(latitudeRad) + truth[0] + (moved?.altitudeRad ?? 0) + 8 * arcminute;
    const level = { altitudeRad: axisRad + arcminute * random.normal(), sigmaRad: levelSigma * arcminute };
    return { starNed: star, side, rollRad, sigmaRad, moved, level: levelSigma > 0 ? level : undefined };
  });
}
