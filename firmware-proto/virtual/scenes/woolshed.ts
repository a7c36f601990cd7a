import { arcminute, degree } from '../../../calibration/angle.ts';
import type { Scene } from '../scene.ts';

/** Southern hemisphere. Invented, as are its iron and its mount. */
export const woolshed: Scene = {
  name: 'woolshed',
  words:
    'An invented paddock behind a wool shed in inland New South Wales, about 33.5 degrees south. River gums hide the southern sky, and the pole has no bright star anyway.',
  place: { latitudeRad: -33.52 * degree, longitudeRad: 145.7 * degree, elevationM: 130 },
  hidden: [
    { fromAzimuthRad: 132 * degree, toAzimuthRad: 205 * degree, altitudeRad: 44 * degree, words: 'river gums' },
    { fromAzimuthRad: 205 * degree, toAzimuthRad: 248 * degree, altitudeRad: 37 * degree, words: 'the wool shed' },
    { fromAzimuthRad: 80 * degree, toAzimuthRad: 101 * degree, altitudeRad: 15 * degree, words: 'a water tank' },
  ],
  temperatureC: 17,
  bolts: {
    altitude: { radPerTurn: 0.95 * degree, backlashTurns: 0.1 },
    azimuth: { radPerTurn: 1.6 * degree, backlashTurns: 0.2 },
  },
  baseTiltRad: 2 * degree,
  firstAltitudeErrorRad: 3 * degree,
  firstAzimuthErrorRad: 5 * degree,
  lockingShiftRad: 5 * arcminute,
  loadSagRad: 8 * arcminute,
  tripodIron: { separationM: [-0.04, 0.02, -0.16], fieldNt: 60 },
  car: { separationM: [-2.5, 2, -0.5], momentAm2: [-300, -350, -350] },
};
