/** Words of the program that stand before a command of its own: at the start of a line, after a space, a quote or a bracket. */
const ownCommand = /(?<![\w/.-])lodepole (?=[a-z]|--)/g;

/**
 * Commands in `text` as they are to be typed where the program was started: in a checkout, where `npm start` starts it, as
 * `npm start -- swing`; an installed one is `lodepole swing`.
 */
export const asTyped = (text: string, startedBy = process.env.npm_lifecycle_event): string =>
  startedBy === 'start' ? text.replaceAll(ownCommand, 'npm start -- ') : text;
