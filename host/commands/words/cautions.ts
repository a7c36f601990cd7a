/** Cautions of several commands. */
export const texts = {
  caution: (text: string): string => `Caution: ${text}`,
  sunWasUp: (name: string, utc: string): string =>
    `The Sun was up or about to rise when ${name} was read at ${utc} UTC. Take no star by day.`,
};
