import { apply, type Matrix3, type Vector3 } from '../../../calibration/vector.ts';

/** Half of the board's edges along its arrows X, Y and Z. */
const half: Vector3 = [1, 0.7, 0.12];
const scale = 66;
/** One looks a little down at it, from the side that its arrow Y points away from. */
const sight = (38 * Math.PI) / 180;

/** On paper: x to the right, z up, what is farther away a little higher. */
const seen = ([x, y, z]: Vector3): string =>
  `${(scale * x).toFixed(1)} ${(-scale * (z * Math.cos(sight) + y * Math.sin(sight))).toFixed(1)}`;
const towardEye = ([, y, z]: Vector3): number => z * Math.sin(sight) - y * Math.cos(sight);

/** A board as it is held: its arrows on the face with the parts, a cross on its back. */
export function Board({ attitude }: { attitude: Matrix3 }) {
  const on = (x: number, y: number, z: number): Vector3 => apply(attitude, [x * half[0], y * half[1], z * half[2]]);
  const line = (...points: Vector3[]): string => `M${points.map(seen).join('L')}`;
  const faces = [0, 1, 2].flatMap((axis) =>
    [-1, 1].map((side) => {
      const corner = (a: number, b: number): Vector3 => {
        const at = [0, 0, 0];
        [at[axis], at[(axis + 1) % 3], at[(axis + 2) % 3]] = [side, a, b];
        return on(at[0], at[1], at[2]);
      };
      const outward: [number, number, number] = [0, 0, 0];
      outward[axis] = side;
      return {
        isSeen: towardEye(apply(attitude, outward)) > 0,
        isFront: axis === 2 && side > 0,
        isBack: axis === 2 && side < 0,
        d: `${line(corner(-1, -1), corner(1, -1), corner(1, 1), corner(-1, 1))}Z`,
      };
    }),
  );
  const tip = on(0.85, 0, 1);
  const [letterX, letterY] = seen(on(-0.7, -0.15, 1)).split(' ');
  return (
    <g>
      {faces
        .filter(({ isSeen }) => isSeen)
        .map(({ d, isFront, isBack }) => (
          <g key={d}>
            <path class="board" d={d} />
            {isFront && (
              <>
                <path class="arrow-x" d={line(on(-0.4, 0, 1), tip) + line(on(0.5, 0.35, 1), tip, on(0.5, -0.35, 1))} />
                <text x={letterX} y={letterY} text-anchor="middle">
                  X
                </text>
              </>
            )}
            {isBack && (
              <path class="back" d={line(on(-1, -1, -1), on(1, 1, -1)) + line(on(-1, 1, -1), on(1, -1, -1))} />
            )}
          </g>
        ))}
    </g>
  );
}
