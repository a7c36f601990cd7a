/** A stretch of azimuth in which nothing below `altitudeRad` can be seen. Runs clockwise from `from` to `to`, across north where from > to. */
export interface HorizonSector {
  fromAzimuthRad: number;
  toAzimuthRad: number;
  altitudeRad: number;
}
