/** What is said of the side of the mount. */
export const texts = {
  fromUntil: (from: string, until: string): string => `from ${from} until ${until}`,
  fromOn: (from: string): string => `from ${from} on`,
  neverClear: 'Within a day it does not rise clear of the horizon and what you marked on it.',
  alwaysClear: 'It stays clear of the horizon and what you marked on it.',
  clear: (isHiddenNow: boolean, when: string): string =>
    `${isHiddenNow ? 'It is hidden now. ' : ''}It is clear of the horizon and what you marked on it ${when}.`,
  meets: (clock: string): string =>
    `Caution: the tube meets the tripod or the ground at ${clock}. Flip or stop before then.`,
  room: (millimetres: string, clock: string): string =>
    `${millimetres} mm between tube and tripod at the nearest, ${clock}.`,
  watchRoom: (room: string): string => `Caution: only ${room} Watch it there.`,
  atLeast: (room: string): string => `At least ${room}`,
  noFlipNeeded: (above: string): string => `The counterweight never rises to ${above} here: no flip is needed.`,
  outOfSight: (side: string): string => `It sets or is hidden before a flip is needed: stay on the ${side} side.`,
  flipWithin: (span: string, above: string): string => `Flip within ${span}: then the counterweight rises to ${above}.`,
  noFlip: 'no flip',
  flipIn: (span: string): string => `flip in ${span}`,
  nearZenith: 'Near the zenith the eyepiece end comes close to the tripod: turn slowly and look.',
  nearPole: 'This near the celestial pole the tube hardly moves, but a flip is still a half turn of both axes.',
  nearlyLevel: 'The counterweight is nearly level now: either side serves for a few minutes.',
  neverTheSun:
    'The Sun is never observed through an instrument: it blinds at once. By day its shadow gives the azimuth.',
  belowHorizon: (target: string, clear: string): string => `${target} is below the horizon. ${clear}`,
  forPlanning: (target: string, where: string, side: string, flip: string): string =>
    `For planning: ${target} stands ${where}; the tube would be ${side} of the mount. ${flip}`,
  putTube: (side: string, target: string, where: string): string =>
    `Put the tube ${side} of the mount for ${target}, ${where}.`,
  crosses: (span: string): string => `It crosses the meridian in ${span}.`,
  crossed: (ago: string): string => `It crossed the meridian ${ago} ago.`,
  mayStay: (other: string, span: string): string =>
    `If the tube is still ${other} of the mount, it may stay there for ${span}.`,
};
