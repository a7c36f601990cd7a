import { degree } from '../../calibration/angle.ts';

/** Degrees for machine output: six decimals are 4 milliarcseconds. */
export const inDeg = (angleRad: number): number => Number((angleRad / degree).toFixed(6));
export const rounded = (value: number, digits = 3): number => Number(value.toFixed(digits));
