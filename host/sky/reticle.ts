/** Divisions to each side of the middle, and characters to a division. */
const halfWidth = 6;
const perDivision = 5;

/**
 * A reticle across which a star drifts, in two lines of at most 80 columns: a scale of divisions, south at the left, and the star
 * below it to a fifth of a division. One line in words where the star is beyond the scale.
 */
export function reticleLines(divisionsNorth: number | undefined): string[] {
  const scale = Array.from({ length: 2 * halfWidth + 1 }, (_, i) => String(i - halfWidth));
  const lead = 'south ';
  const numbers = `${lead}${scale.map((mark) => mark.padStart(perDivision)).join('')} north`;
  const column = Math.round(((divisionsNorth ?? NaN) + halfWidth) * perDivision);
  if (!(column >= 0 && column <= 2 * halfWidth * perDivision))
    return ['The star has left the scale: type the name of the other star, or q.'];
  return [numbers, `${' '.repeat(lead.length + perDivision - 1 + column)}*`];
}
