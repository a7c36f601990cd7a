import { dot, norm, scale, subtract, type Vector3 } from '../../calibration/vector.ts';

/** A lump of magnetised iron, seen from the board: north-east-down metres and ampere square metres. */
interface Dipole {
  /** From the iron to the board. */
  separationM: Vector3;
  momentAm2: Vector3;
}

/** mu0 / 4 pi in nT m^3 per A m^2. */
const permeability = 100;

/** Field of a point dipole in nT: mu0/4pi (3 n (n.m) - m) / r^3 (J. D. Jackson, Classical Electrodynamics, 3rd ed., eq. 5.56). */
export function dipoleField({ separationM, momentAm2 }: Dipole): Vector3 {
  const distance = norm(separationM);
  const n = scale(separationM, 1 / distance);
  return scale(subtract(scale(n, 3 * dot(n, momentAm2)), momentAm2), permeability / distance ** 3);
}
