/** Geometry of a centre-zero dial, across (zero at the top) or upright (zero at the right). */
interface DialShape {
  width: number;
  height: number;
  pivot: readonly [number, number];
  radius: number;
  /** Where the needle and the band begin. */
  needleFrom: number;
  bandFrom: number;
  upright: boolean;
}

/** Full deflection to either side. */
export const halfArcDeg = 46;
/** The needle rests against a stop a little beyond the last mark. */
export const stopShare = 1.05;

export const acrossShape: DialShape = {
  width: 400,
  height: 214,
  pivot: [200, 266],
  radius: 226,
  needleFrom: 66,
  bandFrom: 142,
  upright: false,
};
export const uprightShape: DialShape = {
  width: 236,
  height: 352,
  pivot: [-38, 176],
  radius: 214,
  needleFrom: 62,
  bandFrom: 134,
  upright: true,
};

const round = (value: number): number => Math.round(value * 100) / 100;

/** Point at a deflection (positive: right, or up) and a distance from the pivot. */
export function pointAt(shape: DialShape, deflectionDeg: number, radius: number): [number, number] {
  const angle = (deflectionDeg * Math.PI) / 180;
  const [x, y] = shape.pivot;
  return shape.upright
    ? [round(x + radius * Math.cos(angle)), round(y - radius * Math.sin(angle))]
    : [round(x + radius * Math.sin(angle)), round(y - radius * Math.cos(angle))];
}

const join = ([x, y]: readonly [number, number]): string => `${x} ${y}`;
/** SVG draws clockwise with sweep 1; upright dials count anticlockwise. */
const sweep = (shape: DialShape): number => (shape.upright ? 0 : 1);

export const arcPath = (shape: DialShape, fromDeg: number, toDeg: number, radius: number): string =>
  `M${join(pointAt(shape, fromDeg, radius))}A${radius} ${radius} 0 0 ${sweep(shape)} ${join(pointAt(shape, toDeg, radius))}`;

/** A piece of a ring between two deflections. */
export function sectorPath(shape: DialShape, fromDeg: number, toDeg: number, inner: number, outer: number): string {
  const back = 1 - sweep(shape);
  return (
    arcPath(shape, fromDeg, toDeg, outer) +
    `L${join(pointAt(shape, toDeg, inner))}A${inner} ${inner} 0 0 ${back} ${join(pointAt(shape, fromDeg, inner))}Z`
  );
}

export const linePath = (shape: DialShape, deflectionDeg: number, inner: number, outer: number): string =>
  `M${join(pointAt(shape, deflectionDeg, inner))}L${join(pointAt(shape, deflectionDeg, outer))}`;

/** A needle: broad at its foot, a point at its tip. */
export function needlePath(shape: DialShape, footDeg: number): string {
  const [left, right] = [-footDeg, footDeg].map((at) => join(pointAt(shape, at, shape.needleFrom)));
  return `M${left}L${join(pointAt(shape, 0, shape.radius - 6))}L${right}Z`;
}

/** A mark outside the arc that points at a deflection, where no needle hides it. */
export function outerMark(shape: DialShape, deflectionDeg: number): string {
  const [left, right] = [-2.6, 2.6].map((aside) => join(pointAt(shape, deflectionDeg + aside, shape.radius + 28)));
  return `M${left}L${join(pointAt(shape, deflectionDeg, shape.radius + 12))}L${right}Z`;
}
