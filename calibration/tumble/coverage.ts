import type { Vector3 } from '../vector.ts';
import type { Coverage, CoverageCell } from './types.ts';

/** Six bands of equal height, so of equal area, each cut into eight: 48 cells of 860 square degrees. */
const bands = 6;
const sectors = 8;
const cellCount = bands * sectors;
/** A reading speaks for everything within this angle of it. */
const reach = Math.cos((30 * Math.PI) / 180);

export function cellOf(x: number, y: number, z: number): number {
  const length = Math.sqrt(x * x + y * y + z * z);
  const band = Math.min(bands - 1, Math.max(0, Math.floor(((z / length + 1) / 2) * bands)));
  const turn = (Math.atan2(y, x) / (2 * Math.PI) + 1) % 1;
  return band * sectors + Math.min(sectors - 1, Math.floor(turn * sectors));
}

const cellDirections: readonly Vector3[] = Array.from({ length: cellCount }, (_, cell) => {
  const z = ((Math.floor(cell / sectors) + 0.5) / bands) * 2 - 1;
  const turn = (((cell % sectors) + 0.5) / sectors) * 2 * Math.PI;
  const r = Math.sqrt(1 - z * z);
  return [r * Math.cos(turn), r * Math.sin(turn), z];
});

/** Gathers directions of one sensor; its memory does not grow. */
export class SphereCover {
  readonly counts = new Int32Array(cellCount);
  /** Cosine of the angle from each cell's middle to the nearest direction seen. */
  readonly nearest = new Float64Array(cellCount).fill(-1);

  add(x: number, y: number, z: number): void {
    const length = Math.sqrt(x * x + y * y + z * z);
    if (!(length > 0)) return;
    this.counts[cellOf(x, y, z)] += 1;
    for (let i = 0; i < cellCount; i += 1) {
      const d = cellDirections[i];
      const cosine = (x * d[0] + y * d[1] + z * d[2]) / length;
      if (cosine > this.nearest[i]) this.nearest[i] = cosine;
    }
  }

  /** 0..1 of the sphere within reach of a direction seen. */
  share(): number {
    return this.nearest.reduce((sum, cosine) => sum + (cosine >= reach ? 1 : 0), 0) / cellCount;
  }

  /** The cell furthest from anything seen; undefined when all are within reach. */
  hole(): number | undefined {
    let worst: number | undefined;
    for (let i = 0; i < cellCount; i += 1)
      if (this.nearest[i] < reach && (worst === undefined || this.nearest[i] < this.nearest[worst])) worst = i;
    return worst;
  }
}

/** Coverage of the joint tumble: the lesser of the two sensors'; either may be missing. */
export function coverageOf(accel: SphereCover | undefined, field: SphereCover | undefined): Coverage {
  const shares = [accel, field].flatMap((cover) => (cover ? [cover.share()] : []));
  const cells: CoverageCell[] = cellDirections.map((direction, i) => ({
    direction,
    accelCount: accel?.counts[i] ?? 0,
    fieldCount: field?.counts[i] ?? 0,
    accelReached: (accel?.nearest[i] ?? -1) >= reach,
    fieldReached: (field?.nearest[i] ?? -1) >= reach,
  }));
  const upHole = accel?.hole();
  return {
    percent: 100 * Math.min(...shares),
    cells,
    nextTurn: nextTurn(accel, field),
    nextUp: upHole === undefined ? undefined : cellDirections[upHole],
  };
}

function nextTurn(accel: SphereCover | undefined, field: SphereCover | undefined): string | undefined {
  const upHole = accel?.hole();
  if (upHole !== undefined) return `Turn the board ${arrowWords(cellDirections[upHole])}.`;
  const fieldHole = field?.hole();
  if (fieldHole === undefined) return undefined;
  return accel
    ? 'Face another way and turn the board over again: the field has not yet come from every side.'
    : `Turn the board so that the field comes from where it has not yet: its ${axisWords(cellDirections[fieldHole])} along the field.`;
}

const axisNames = ['X', 'Y', 'Z'] as const;

/** `arrow X down`, or half-way between two or three such; `up` is in the board frame. */
function arrowWords(up: Vector3): string {
  const words = leading(up).map((i) => `arrow ${axisNames[i]} ${up[i] > 0 ? 'up' : 'down'}`);
  return words.length > 1 ? `half-way between ${words.slice(0, -1).join(', ')} and ${words.at(-1)}` : words[0];
}

const axisWords = (direction: Vector3): string =>
  leading(direction)
    .map((i) => `${direction[i] > 0 ? '+' : '-'}${axisNames[i]}`)
    .join(' and ');

/** Indices of the components that matter, largest first. */
const leading = (v: Vector3): number[] =>
  [0, 1, 2].filter((i) => Math.abs(v[i]) > 0.45).sort((i, j) => Math.abs(v[j]) - Math.abs(v[i]));
