import { arcminute, degree } from '../../calibration/angle.ts';
import { cone, nonPerpendicularity, rollZero } from '../../calibration/sight/sightModel.ts';
import { truePole, axisWithErrors, toNed, type PolarErrors } from '../../calibration/polarAxis.ts';
import { sigmaDistanceRad } from '../../calibration/live/distance.ts';
import { angleBetweenRad } from '../../calibration/vector.ts';
import { inDeg, rounded } from '../words/figures.ts';
import { instructionWords } from '../words/instruction.ts';
import { plainAngle, bandSigmas, sideWords } from '../words/reading.ts';
import type { Site } from '../site/site.ts';
import type { SightsOutcome, TimedSight } from './sights.ts';
import { texts } from './words/sight.ts';

type Covariance = readonly [number, number, number, number];

/** The keys that every measurement of the polar axis has in its JSON. */
export function axisJson(
  {
    altitudeErrorRad,
    azimuthErrorRad,
    axisCovariance,
  }: { altitudeErrorRad: number; azimuthErrorRad: number; axisCovariance: Covariance },
  latitudeRad: number,
): Record<string, number> {
  const pole = truePole(latitudeRad);
  const across = Math.cos(pole.altitudeRad);
  const [sigmaAltitude, sigmaAzimuth] = [Math.sqrt(axisCovariance[0]), Math.sqrt(axisCovariance[3])];
  return {
    altitudeErrorDeg: inDeg(altitudeErrorRad),
    sigmaAltitudeErrorDeg: inDeg(sigmaAltitude),
    azimuthErrorDeg: inDeg(azimuthErrorRad),
    sigmaAzimuthErrorDeg: inDeg(sigmaAzimuth),
    distanceDeg: inDeg(angleBetweenRad(toNed(axisWithErrors(pole, altitudeErrorRad, azimuthErrorRad)), toNed(pole))),
    sigmaDistanceDeg: inDeg(
      sigmaDistanceRad(altitudeErrorRad, azimuthErrorRad * across, sigmaAltitude, sigmaAzimuth * across),
    ),
    correlation: rounded(axisCovariance[1] / (sigmaAltitude * sigmaAzimuth)),
  };
}

/** Errors and what to do with the bolts, as sentences. */
export function axisWords({
  altitudeErrorRad,
  azimuthErrorRad,
  axisCovariance,
}: {
  altitudeErrorRad: number;
  azimuthErrorRad: number;
  axisCovariance: Covariance;
}): string[] {
  const [altitude, azimuth] = [altitudeErrorRad / degree, azimuthErrorRad / degree];
  const [sigmaAltitude, sigmaAzimuth] = [Math.sqrt(axisCovariance[0]) / degree, Math.sqrt(axisCovariance[3]) / degree];
  const part = (axis: 'altitude' | 'azimuth', error: number, sigma: number): string =>
    `${sideWords(axis, error, bandSigmas * sigma, axis === 'altitude' ? 'too ' : 'too far ')}, give or take ${plainAngle(bandSigmas * sigma, bandSigmas * sigma)}`;
  return [
    texts.axisPoints(part('altitude', altitude, sigmaAltitude), part('azimuth', azimuth, sigmaAzimuth)),
    `${instructionWords('altitude', altitude, sigmaAltitude)} ${instructionWords('azimuth', azimuth, sigmaAzimuth)}`,
  ];
}

/** Virtual mount only; it comes after the fit and has no part in it. */
export const truthJson = ({ altitudeErrorRad, azimuthErrorRad, distanceRad }: PolarErrors): Record<string, number> => ({
  altitudeErrorDeg: inDeg(altitudeErrorRad),
  azimuthErrorDeg: inDeg(azimuthErrorRad),
  distanceDeg: inDeg(distanceRad),
});

const arcmin = (angleRad: number): number => rounded(angleRad / arcminute, 2);

export function sightsJson(outcome: SightsOutcome, timed: readonly TimedSight[], site: Site): Record<string, unknown> {
  const { verdict, fit, next, helps, sigmaRad, remarks } = outcome;
  const included = verdict.kind === 'misnamed' ? timed.filter((_, index) => index !== verdict.index) : timed;
  const sigma = (index: number): number => (fit ? Math.sqrt(fit.covariance[index * (fit.estimate.length + 1)]) : NaN);
  return {
    ...(fit && {
      ...axisJson(fit, site.latitudeRad),
      rollZeroDeg: inDeg(fit.estimate[rollZero]),
      sigmaRollZeroDeg: inDeg(sigma(rollZero)),
      coneArcmin: arcmin(fit.estimate[cone]),
      sigmaConeArcmin: arcmin(sigma(cone)),
      nonPerpendicularityArcmin: arcmin(fit.estimate[nonPerpendicularity]),
      sigmaNonPerpendicularityArcmin: arcmin(sigma(nonPerpendicularity)),
      sights: included.map(({ star, side, utc }, index) => ({
        star: star.name,
        side,
        timeUtc: utc.toISOString(),
        residualArcmin: arcmin(fit.residualRad[index]),
        normalisedResidual: rounded(fit.normalisedResidual[index], 2),
      })),
    }),
    verdict: verdict.kind,
    ...('index' in verdict && { culprit: verdict.index + 1, culpritStar: timed[verdict.index].star.name }),
    ...(verdict.kind === 'unclear' && {
      candidates: verdict.candidates.map(({ kind, index }) => ({ kind, sight: index + 1 })),
    }),
    sigmaOnSkyArcmin: arcmin(sigmaRad),
    remarks,
    another: helps ? 'helps' : 'no longer helps',
    nudgeFirst: isFarOff(outcome, site.latitudeRad),
    ...(next && { next: { star: next.star.name, side: next.side, where: next.where } }),
  };
}

/** The axis is farther off than the sights leave open: no star and no drift helps before the bolts are turned. */
function isFarOff({ fit, sigmaRad }: Pick<SightsOutcome, 'fit' | 'sigmaRad'>, latitudeRad: number): boolean {
  if (!fit) return false;
  const pole = truePole(latitudeRad);
  const axis = axisWithErrors(pole, fit.altitudeErrorRad, fit.azimuthErrorRad);
  return angleBetweenRad(toNed(axis), toNed(pole)) > bandSigmas * sigmaRad;
}

export function sightsWords(outcome: SightsOutcome, count: number, latitudeRad: number): string[] {
  const { fit, next, helps, sigmaRad, remarks } = outcome;
  const words = [...remarks];
  if (fit) {
    words.push(...axisWords(fit));
    words.push(texts.howSure(count, arcmin(bandSigmas * sigmaRad).toFixed(1)));
  }
  if (!next) {
    words.push(helps ? texts.oneMoreHelps : texts.noFurtherStar);
    if (isFarOff(outcome, latitudeRad)) words.push(texts.nudgeFirst);
  } else if (helps) words.push(texts.next(next.star.name, next.where, next.side));
  else if (isFarOff(outcome, latitudeRad)) words.push(texts.noMoreHelpsNudge);
  else words.push(texts.noMoreHelps);
  return words;
}
