/** What a rehearsal says. */
export const texts = {
  watching: (name: string, where: string, minutes: number, what: string): string =>
    `Watching ${name}, ${where}, for ${minutes} minutes: it shows the ${what}.`,
  balanced: 'Balanced, with everything on.',
  plan: (plan: string): string => `The plan: ${plan}.`,
  tumble: 'TUMBLE: the board is turned in the hand, away from iron, so that every side has faced up.',
  knowsVertical: (vertical: string, north: string): string =>
    `The board now knows the vertical, give or take ${vertical} degrees, and magnetic north, give or take ${north}.`,
  swing: 'SWING: clipped on, slightly crooked as usual, on a wooden spacer; the axis is turned from rest to rest.',
  standoff: 'STAND-OFF: the same on shorter spacers, to see what the iron of the tripod does.',
  stays: (centimetres: number, degrees: string): string =>
    `The board stays on the spacer of ${centimetres} cm; the ${degrees} degrees ` +
    'that remain there are corrected for from now on.',
  nudge: 'NUDGE: one turn of each bolt shows what it does; then turns of the bolts take the error out.',
  lock: 'LOCK: a rest, the bolts are tightened, a rest.',
  azimuthCounts:
    'Azimuth counts along the horizon; on the sky it is smaller: multiply it by the cosine of the altitude.',
  atTheEnd: (altitude: string, azimuth: string): string => `At the end: altitude ${altitude}; azimuth ${azimuth}.`,
  begins: (utc: string, isGiven: boolean): string =>
    `It begins at ${utc} UTC${isGiven ? '' : ', a night there, whatever the hour here'}.`,
  allTogether: (errors: string): string => `All together: ${errors}. The needles go on from there.`,
  lockingDidThat:
    'Locking the bolts did that. If it is too far: loosen the bolts, nudge by as much to the other side, lock again.',
  weightDidThat: 'The weight of the instrument did that.',
  measured: (isLocked: boolean, name: string): string =>
    `${isLocked ? 'Locked. ' : ''}Measured on ${name} in the eyepiece.`,
};
