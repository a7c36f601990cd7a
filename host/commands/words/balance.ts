/** What `balance` says. */
export const texts = {
  placeOfWeights: 'place of the weights',
  shiftOfDovetail: 'shift of the dovetail',
  noRig: 'No rig is saved yet. Save one: lodepole balance --rig rig.json --keep',
  rigSaved: (name: string): string => `The rig is saved. To use it: lodepole balance --rig "${name}"`,
  weighed: (part: string | undefined, kg: string, giveOrTake: string): string =>
    `${part}: ${kg} kg, give or take ${giveOrTake} kg.`,
};
