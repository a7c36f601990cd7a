/** What `enough` says. */
export const texts = {
  asGiven: 'as given',
  tonights: (estimates: string): string => `tonight's ${estimates}`,
  photograph: (seconds: number, millimetres: string, isGuided: boolean, pixels: string): string =>
    `exposures of ${seconds} s at ${millimetres} mm, ${isGuided ? 'guided' : 'not guided'}, ${pixels} pixel of smear`,
  blur: (drift: string, isGuided: boolean, turn: string): string =>
    `At most ${drift} pixels of drift${isGuided ? ' (taken out by the guide star)' : ''} and ${turn} pixels of turn in the corner.`,
  eye: (minutes: string, field: string): string =>
    `a target that stays ${minutes} minutes in a field of ${field}′, driven`,
  stays: (isWholeNight: boolean, minutes: string): string =>
    `A centred target stays in the field for ${isWholeNight ? 'the whole night' : `at least ${minutes} minutes`}.`,
  fieldRotation: 'field rotation',
  allowed: (plan: string, most: string, limitedBy: string): string =>
    `For ${plan}: the axis may be off by up to ${most} (${limitedBy}).`,
  notMeasured:
    'The axis has not been measured: take sights or drift first, or give --distance 6 --give-or-take 4 in arcminutes.',
  distance: (arcmin: string, source: string | undefined, verdict: string | undefined, chance: string): string =>
    `The axis is ${arcmin}′ from the pole (${source}): ${verdict}, ${chance}.`,
};
