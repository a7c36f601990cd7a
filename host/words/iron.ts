/** In the place of an instruction for the azimuth while iron bends the field. */
export const azimuthUntrusted = 'Azimuth not to be trusted: iron is near. Take it away, or wait.';

/** In the place of the distance, which the azimuth is a part of. */
export const distanceUntrusted = 'Not to be trusted while iron is near. The altitude holds.';

/** What no reading shows, and the cure. */
export const slowIronWords =
  'Iron that comes near slowly, square to both the field and the vertical, can turn the azimuth unseen: look again at the stand-off, or take sights.';
