import { arcminute, degree } from '../../../calibration/angle.ts';
import type { Scene } from '../scene.ts';

/** Northern hemisphere. Invented, as are its iron and its mount. */
export const orchard: Scene = {
  name: 'orchard',
  words:
    'An invented walnut orchard in the inland north-west of North America, about 46 degrees north. The house and two rows of walnut trees hide the northern sky, the pole with it.',
  place: { latitudeRad: 46.4 * degree, longitudeRad: -118.6 * degree, elevationM: 430 },
  hidden: [
    { fromAzimuthRad: 318 * degree, toAzimuthRad: 12 * degree, altitudeRad: 52 * degree, words: 'the house' },
    { fromAzimuthRad: 12 * degree, toAzimuthRad: 74 * degree, altitudeRad: 46 * degree, words: 'walnut trees' },
    { fromAzimuthRad: 230 * degree, toAzimuthRad: 262 * degree, altitudeRad: 18 * degree, words: 'the far row' },
  ],
  temperatureC: 11,
  bolts: {
    altitude: { radPerTurn: 1.43 * degree, backlashTurns: 0.06 },
    azimuth: { radPerTurn: 1.15 * degree, backlashTurns: 0.15 },
  },
  baseTiltRad: 1.5 * degree,
  firstAltitudeErrorRad: 2.2 * degree,
  firstAzimuthErrorRad: 4.6 * degree,
  lockingShiftRad: 4 * arcminute,
  loadSagRad: 6 * arcminute,
  tripodIron: { separationM: [0.03, -0.05, -0.14], fieldNt: 60 },
  car: { separationM: [1.5, 3, -0.6], momentAm2: [250, -420, 300] },
};
