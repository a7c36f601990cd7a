import type { AxisEstimate } from '../../../calibration/answer.ts';
import { degree } from '../../../calibration/angle.ts';
import type { Gate } from '../../../calibration/gate.ts';
import type { StepView } from '../messages.ts';
import { gateWords as wordsOfGate } from '../../words/gate.ts';
import { bandSigmas, plainAngle, sideWords, type Axis } from '../../words/reading.ts';

/** `41′, give or take 22′`: size only, the band of two sigmas. */
export function sized(angleRad: number, sigmaRad: number): string {
  const bandDeg = (bandSigmas * sigmaRad) / degree;
  return `${plainAngle(angleRad / degree, bandDeg)}, give or take ${plainAngle(bandDeg, bandDeg)}`;
}

/** `41′ east, give or take 22′`. */
export function sided(axis: Axis, errorRad: number, sigmaRad: number): string {
  const bandDeg = (bandSigmas * sigmaRad) / degree;
  return `${sideWords(axis, errorRad / degree, bandDeg)}, give or take ${plainAngle(bandDeg, bandDeg)}`;
}

/** With a capital letter, as a sentence begins. */
export const capital = (words: string): string => words[0].toUpperCase() + words.slice(1);

/** A gate in one sentence. */
export const gateWords = (gate: Gate): string => capital(wordsOfGate(gate));

/** Both errors of the axis with their bands, as the sheet lists them. */
export const axisRows = ({
  altitudeErrorRad,
  azimuthErrorRad,
  axisCovariance,
}: Pick<AxisEstimate, 'altitudeErrorRad' | 'azimuthErrorRad' | 'axisCovariance'>): StepView['measured'] => [
  { label: 'Azimuth', value: sided('azimuth', azimuthErrorRad, Math.sqrt(axisCovariance[3])) },
  { label: 'Altitude', value: sided('altitude', altitudeErrorRad, Math.sqrt(axisCovariance[0])) },
];
