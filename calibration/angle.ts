export const degree = Math.PI / 180;
export const arcminute = degree / 60;
export const arcsecond = degree / 3600;

/** Wraps to -pi (included) .. pi (excluded). */
export const wrapPi = (angleRad: number): number =>
  angleRad - 2 * Math.PI * Math.floor((angleRad + Math.PI) / (2 * Math.PI));
/** Wraps to 0 (included) .. 2 pi (excluded). */
export const wrapTwoPi = (angleRad: number): number => {
  const wrapped = angleRad - 2 * Math.PI * Math.floor(angleRad / (2 * Math.PI));
  return wrapped >= 2 * Math.PI ? 0 : wrapped;
};
