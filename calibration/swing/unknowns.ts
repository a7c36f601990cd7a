import { tumbleUnknowns } from '../tumble/types.ts';

const { count } = tumbleUnknowns;

/** Where each unknown stands. */
export const swingUnknowns = { altitude: 0, azimuth: 1, strength: 2, calibration: 3, clippings: 3 + count } as const;

/** For each clipping two tilts of the axis in the board, three parts of hard iron, six of soft iron. */
export const tiltIndex = (clipping: number): number => swingUnknowns.clippings + 11 * clipping;
export const ironIndex = (clipping: number): number => tiltIndex(clipping) + 2;
export const softIronIndex = (clipping: number): number => tiltIndex(clipping) + 5;

/** Number of each element, row by row, of a symmetric matrix kept as xx, xy, xz, yy, yz, zz. */
export const symmetric = [0, 1, 2, 1, 3, 4, 2, 4, 5] as const;
