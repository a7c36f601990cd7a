import {
  apply,
  determinant,
  multiply,
  norm,
  scale,
  subtract,
  type Matrix3,
  type Vector3,
  matrix3,
} from '../../calibration/vector.ts';
import { isOrientation, orientationMatrix, type Orientation } from '../../firmware-proto/wire.ts';
import { texts } from './words/boardAxes.ts';

/** How the board is held for each reading, in order. */
export const axesPoses = [texts.poseZ, texts.poseX, texts.poseY, texts.poseNorth, texts.poseEast] as const;

/** Means of one pose, in the axes that the board claims. */
export interface PoseReading {
  accelG: Vector3;
  fieldNt: Vector3;
}

export interface AxesVerdict {
  state: 'right' | 'turned' | 'mirrored' | 'unclear';
  /** What to set, where it is turned. */
  orientation?: Orientation;
  words: string;
}

/** Farthest that a reading may lie from where it belongs, as a part of its length: 20 degrees. */
const tolerance = 0.35;
/** Least part of the field along each of its two directions that tells the axes apart. */
const leastShare = 0.15;

/** Every matrix that takes axes to axes, mirrored ones too. */
const axisMaps: readonly Matrix3[] = [
  [0, 1, 2], [1, 2, 0], [2, 0, 1], [0, 2, 1], [2, 1, 0], [1, 0, 2],
].flatMap((columns) =>
  Array.from({ length: 8 }, (_, signs): Matrix3 => {
    const rows = columns.map((column, row) => {
      const entries = [0, 0, 0];
      entries[column] = signs & (1 << row) ? -1 : 1;
      return entries;
    });
    return matrix3(rows.flat());
  }),
); // prettier-ignore

const isIdentity = (m: Matrix3): boolean => m[0] === 1 && m[4] === 1 && m[8] === 1;

/** The map with the least misfit, and that misfit. */
function best(misfit: (map: Matrix3) => number, maps: readonly Matrix3[]): { map: Matrix3; misfit: number } {
  return maps
    .map((map) => ({ map, misfit: misfit(map) }))
    .reduce((least, each) => (each.misfit < least.misfit ? each : least));
}

function spelled(m: Matrix3): string {
  return [0, 3, 6]
    .map((row) => {
      const column = [0, 1, 2].find((index) => m[row + index] !== 0) ?? 0;
      return `${m[row + column] < 0 ? '-' : '+'}${'XYZ'[column]}`;
    })
    .join('');
}

function verdict(sensor: string, map: Matrix3, now: Orientation): AxesVerdict {
  if (isIdentity(map)) return { state: 'right', words: texts.axesRight(sensor) };
  const text = spelled(multiply(map, orientationMatrix(now)));
  if (isOrientation(text))
    return {
      state: 'turned',
      orientation: text,
      words: texts.turned(sensor, text, now),
    };
  return {
    state: 'mirrored',
    words: texts.mirrored(sensor),
  };
}

/** Whether the accelerometer's axes are the board's: +1 g along the axis that points up, in the first three poses. */
export function accelerometerAxes(readings: readonly PoseReading[], now: Orientation): AxesVerdict {
  const wanted: readonly Vector3[] = [[0, 0, 1], [1, 0, 0], [0, 1, 0]]; // prettier-ignore
  const farthest = (map: Matrix3): number =>
    Math.max(...wanted.map((up, pose) => norm(subtract(apply(map, readings[pose].accelG), up))));
  const { map, misfit } = best(farthest, axisMaps);
  if (misfit > tolerance) {
    const offs = wanted.map((up, pose) => norm(subtract(apply(map, readings[pose].accelG), up)));
    const pose = offs.indexOf(Math.max(...offs));
    return {
      state: 'unclear',
      words: texts.gravityUnfit(['first', 'second', 'third'][pose]),
    };
  }
  return verdict('accelerometer', map, now);
}

/**
 * Whether the magnetometer's axes are the board's, from the last two poses: the field's level part points to magnetic north, and it
 * dips down in the northern hemisphere. Without a hemisphere a mirrored vertical axis cannot be told, and the words say so.
 */
export function magnetometerAxes(
  readings: readonly PoseReading[],
  now: Orientation,
  hemisphere: 'north' | 'south' | undefined,
): AxesVerdict {
  const [north, east] = [readings[3].fieldNt, readings[4].fieldNt];
  const strength = (norm(north) + norm(east)) / 2;
  const share = (map: Matrix3) => {
    const [first, second] = [apply(map, north), apply(map, east)];
    const level = (first[0] + second[1]) / 2 / strength;
    const up = (first[2] + second[2]) / 2 / strength;
    const off = Math.hypot(
      norm(subtract(scale(first, 1 / strength), [level, 0, up])),
      norm(subtract(scale(second, 1 / strength), [0, level, up])),
    );
    return { level, up, off };
  };
  const misfit = (map: Matrix3): number => {
    const { level, up, off } = share(map);
    const dips = hemisphere === undefined || (hemisphere === 'north' ? up < 0 : up > 0);
    return level > 0 && dips ? off : Number.POSITIVE_INFINITY;
  };
  const maps = hemisphere === undefined ? axisMaps.filter((map) => determinant(map) > 0) : axisMaps;
  const { map, misfit: off } = best(misfit, maps);
  const { level, up } = share(map);
  if (off > tolerance || level < leastShare || Math.abs(up) < leastShare) {
    return {
      state: 'unclear',
      words: texts.fieldUnfit,
    };
  }
  const found = verdict('magnetometer', map, now);
  return hemisphere === undefined ? { ...found, words: texts.siteFirst(found.words) } : found;
}
