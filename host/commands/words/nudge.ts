/** What `nudge` says. */
export const texts = {
  noStar: (reason: string, whatToDo: string): string =>
    `No listed star suits a nudge from here now. ${reason} ${whatToDo}`,
  moves: (name: string, where: string, arcmin: string, spread: string): string =>
    `${name} ${where} moves ${arcmin}′, shows the axis to ${spread}′`,
  readOn: (name: string): string => `Measured on ${name} in the eyepiece.`,
};
