/** In the place of an instruction for the azimuth while iron bends the field. */
export const azimuthUntrusted = 'Do not trust the azimuth: iron is near. Take it away, or wait.';

/** In the place of the distance, which the azimuth is a part of. */
export const distanceUntrusted = 'No distance while iron is near. The altitude is still right.';

/** What no reading shows, and the cure. */
export const slowIronWords =
  'Iron that comes near slowly can shift the azimuth unnoticed, if its field points to magnetic east or west: measure the stand-off again, or take sights.';
