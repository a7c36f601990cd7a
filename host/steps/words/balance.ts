/** What a balance says. */
export const texts = {
  outOfTravel: (travel: string, end: string, left: string, short: string): string =>
    `The dovetail runs out of travel: the tube must slide ${travel} toward the ${end} end, and only ${left} are left. It is ${short} short.`,
  longerDovetail: (by: string, end: string): string => `Use a dovetail ${by} longer toward the ${end} end.`,
  orAddMass: (mass: string, end: string, place: string): string =>
    `Or add ${mass} at the ${end} end, ${place} from the declination axis, and slide the tube to that end of its travel. Then enter this mass in the rig and balance again.`,
  endAssumed: (place: string): string =>
    `The rig does not say where that end of the tube is, so ${place} is assumed. Nearer to the axis, more mass is needed.`,
  shaftTooHeavy: 'The counterweight side is too heavy even with the weights off: the shaft alone outweighs the tube.',
  takeShaftOut: 'Take the shaft out or use a lighter one, or check outMm of the parts.',
  weightsTooHeavy: (at: string): string =>
    `The counterweights are too heavy: they would have to stand ${at} from the axis, nearer than they can.`,
  useLess: (mass: string): string => `Use ${mass} less, or leave one weight off.`,
  noCounterweight: 'There is no counterweight.',
  putOn: (mass: string, at: string): string => `Put ${mass} on at ${at}, or more mass nearer to the axis.`,
  shaftTooShort: (at: string, beyond: string): string =>
    `The shaft is too short: the weights would have to stand ${at} from the axis, ${beyond} farther out than they can.`,
  addWeight: (mass: string, at: string): string =>
    `Add a counterweight of ${mass} at ${at}, or a heavier one nearer to the axis.`,
  orExtend: (by: string): string => `Or use a shaft extension of at least ${by}.`,
  setCounterweight: (place: string): string => `Set the middle of the counterweight ${place}.`,
  setTogether: (count: number, place: string): string =>
    `Set all ${count} counterweights together, with their common middle ${place}.`,
  spread: (each: string, place: string): string =>
    `Spread the counterweights: ${each}. Their common centre of mass stands ${place}.`,
  sideMoment: (newtonMetres: string): string =>
    `The parts at the side turn the upright tube by ${newtonMetres} Nm. Sliding cannot correct this: put a mass of the same moment on the opposite side, or move a part there.`,
  leaveDovetail: (within: string): string => `Leave the dovetail where it is${within}.`,
  slideTube: (way: string, end: string, within: string): string =>
    `Slide the tube ${way} toward the ${end} end${within}.`,
  everythingOn: 'Put everything on first: eyepiece or camera, finder and cables. Take the caps off.',
  declinationLevel:
    'Set the declination axis level. With a hand on the tube, release the right-ascension clutch. Move the weights until the tube stays.',
  tubeLevel: 'Set the tube level. With a hand on it, release the declination clutch. Slide the tube until it stays.',
  markPlaces: 'Mark both places with tape.',
  refused: (reason: string): string => `REFUSED: ${reason}`,
  masses: (name: string, tube: string, weights: string): string =>
    `${name}: ${tube} on the tube's side, ${weights} of counterweights.`,
  noted: (name: string, shift: string, end: string, hasWeights: boolean, at: string): string =>
    `Balance of ${name}: dovetail ${shift} toward the ${end} end${hasWeights ? `, counterweights ${at} from the axis` : ''}.`,
};
