/** Columns for a degree, degrees to each side of the middle. */
const perDegree = 2;
const reachDeg = 15;

const markAt = (degrees: number): string => (degrees % 10 === 0 ? '|' : degrees % 5 === 0 ? ':' : '.');

/** The part of a round scale of degrees, 0 to 359, on which a shadow falls, and the shadow's place under it: three lines. */
export function shadowScale(shadowDeg: number): string[] {
  const fromDeg = Math.round(shadowDeg / 10) * 10 - reachDeg;
  const count = 2 * reachDeg * perDegree + 1;
  const marks = Array.from({ length: count }, (_, column) =>
    column % perDegree === 0 ? markAt(fromDeg + column / perDegree) : ' ',
  );
  const labels = Array.from({ length: 3 }, (_, i) => `${(fromDeg + 5 + 10 * i + 720) % 360}`);
  const place = Math.round((shadowDeg - fromDeg) * perDegree);
  return [
    labels.map((label, i) => label.padStart(i === 0 ? 5 * perDegree + 2 : 10 * perDegree)).join(''),
    marks.join(''),
    `${' '.repeat(place)}^`,
  ];
}
