import { degree } from '../../calibration/angle.ts';
import type { Needles } from '../../host/live/session.ts';
import { lookOf, type TerminalKind } from '../../host/terminal/look.ts';
import { drawPicture } from '../../host/terminal/picture.ts';
import type { Scenery } from '../../host/terminal/scenery.ts';
import { scales } from '../../host/words/scale.ts';
import { shownAsTheyAre } from './needlesAtRest.ts';

const measured = {
  utcMs: 0,
  arrivalS: 0,
  altitudeErrorRad: -0.05 * degree,
  azimuthErrorRad: 0.68 * degree,
  distanceRad: 0.5 * degree,
  sigmaAltitudeErrorRad: 0.03 * degree,
  sigmaAzimuthErrorRad: 0.1 * degree,
  sigmaDistanceRad: 0.1 * degree,
  state: 'still' as const,
  fieldDeviationSigmas: 0,
  temperatureC: 10,
};
export const needlesWith = (other: Partial<Needles>): Needles => shownAsTheyAre({ ...measured, ...other });
export const needles = needlesWith({});
export const scenery: Scenery = {
  needles,
  ageS: 0.1,
  source: 'board 3F2A91C4 on /dev/ttyUSB0',
  link: 'Reading board 3F2A91C4.',
  note: '',
  keys: 'q leave',
  scales: { azimuth: scales[4], altitude: scales[6] },
  bolts: {},
  isSouth: false,
};
export const plain = { colours: 'none', glyphs: 'unicode' } as const;
export const lines = (of: Scenery, columns = 80, rows = 24, glyphs: TerminalKind['glyphs'] = 'unicode'): string[] =>
  drawPicture(of, columns, rows, glyphs).lines(lookOf('dark', { ...plain, glyphs }), glyphs);
export const withState = (state: Needles['state'], ageS = 0.1): Scenery => ({
  ...scenery,
  ageS,
  needles: { ...needles, state },
});
