import { texts } from './words/drift.ts';
/** Most divisions to each side of the middle, and characters to a division. */
const mostDivisions = 6;
const perDivision = 5;

/**
 * A reticle across which a star drifts, in two lines of at most `columns`: a scale of divisions, south at the left, and the star
 * below it to a fifth of a division. One line in words where the star is beyond the scale.
 */
export function reticleLines(divisionsNorth: number | undefined, columns = 80): string[] {
  const roomFor = Math.floor((columns - 'south'.length - 'north'.length - 3 - perDivision) / (2 * perDivision));
  const halfWidth = Math.max(1, Math.min(mostDivisions, roomFor));
  const scale = Array.from({ length: 2 * halfWidth + 1 }, (_, i) => String(i - halfWidth));
  const lead = 'south ';
  const numbers = texts.scaleNorth(lead, scale.map((mark) => mark.padStart(perDivision)).join(''));
  const column = Math.round(((divisionsNorth ?? NaN) + halfWidth) * perDivision);
  if (!(column >= 0 && column <= 2 * halfWidth * perDivision)) return [texts.leftScale];
  return [numbers, `${' '.repeat(lead.length + perDivision - 1 + column)}*`];
}
