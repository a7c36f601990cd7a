import type { AxisEstimate } from '../../../calibration/answer.ts';
import { degree } from '../../../calibration/angle.ts';
import type { Gate } from '../../../calibration/gate.ts';
import type { StepView } from '../messages.ts';
import { capital } from '../../words/capital.ts';
import { gateWords as wordsOfGate } from '../../words/gate.ts';
import { bandSigmas, plainAngle, sideWords, type Axis } from '../../words/reading.ts';
import { texts } from './words/shared.ts';

/** `41′, give or take 22′`: size only, the band of two sigmas. */
export function sized(angleRad: number, sigmaRad: number): string {
  const bandDeg = (bandSigmas * sigmaRad) / degree;
  return texts.sized(plainAngle(angleRad / degree, bandDeg), plainAngle(bandDeg, bandDeg));
}

/** `41′ east, give or take 22′`. */
export function sided(axis: Axis, errorRad: number, sigmaRad: number): string {
  const bandDeg = (bandSigmas * sigmaRad) / degree;
  return texts.sidedReading(sideWords(axis, errorRad / degree, bandDeg), plainAngle(bandDeg, bandDeg));
}

/** A gate in one sentence. */
export const gateWords = (gate: Gate): string => capital(wordsOfGate(gate));

/** Both errors of the axis with their bands, as the sheet lists them. */
export const axisRows = ({
  altitudeErrorRad,
  azimuthErrorRad,
  axisCovariance,
}: Pick<AxisEstimate, 'altitudeErrorRad' | 'azimuthErrorRad' | 'axisCovariance'>): StepView['measured'] => [
  { label: texts.azimuth, value: sided('azimuth', azimuthErrorRad, Math.sqrt(axisCovariance[3])) },
  { label: texts.altitude, value: sided('altitude', altitudeErrorRad, Math.sqrt(axisCovariance[0])) },
];
