import { apply, rotationAbout, tangentsOf, vector3, type Vector3 } from '../vector.ts';

/** Evenly spread directions (spiral of equal area, Saff and Kuijlaars 1997). */
function spreadDirections(count: number): Vector3[] {
  const golden = Math.PI * (3 - Math.sqrt(5));
  return Array.from({ length: count }, (_, i): Vector3 => {
    const z = 1 - (2 * i + 1) / count;
    const r = Math.sqrt(1 - z * z);
    return [r * Math.cos(golden * i), r * Math.sin(golden * i), z];
  });
}

/** Evenly spread attitudes of a board: up and the field's direction in its frame, for a field that dips by `dipRad`. */
export function spreadAttitudes(dipRad: number, directions = 24, turns = 5): { up: Vector3; field: Vector3 }[] {
  return spreadDirections(directions).flatMap((up, i) => {
    const [north] = tangentsOf(up);
    return Array.from({ length: turns }, (_, j) => {
      const about = rotationAbout(up, (2 * Math.PI * (j + i / directions)) / turns);
      const level = apply(about, north);
      const field = [0, 1, 2].map((k) => Math.cos(dipRad) * level[k] - Math.sin(dipRad) * up[k]);
      return { up, field: vector3(field) };
    });
  });
}
