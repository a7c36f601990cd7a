import { degree } from '../../calibration/angle.ts';
import { plainAngle, sideWords } from './reading.ts';

/** The simulator knows its axis without error; two decimals of an arcminute are shown. */
const shownDeg = 0.01;

/** `What only the simulator knows: altitude 1.2′ low; azimuth 3.4′ west; 2.8′ from the pole.` */
export function truthWords({
  altitudeErrorRad,
  azimuthErrorRad,
  distanceRad,
}: {
  altitudeErrorRad: number;
  azimuthErrorRad: number;
  distanceRad: number;
}): string {
  const altitude = sideWords('altitude', altitudeErrorRad / degree, shownDeg);
  const azimuth = sideWords('azimuth', azimuthErrorRad / degree, shownDeg);
  return `What only the simulator knows: altitude ${altitude}; azimuth ${azimuth}; ${plainAngle(distanceRad / degree, shownDeg)} from the pole.`;
}
