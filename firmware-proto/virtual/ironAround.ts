import { add, apply, norm, scale, transpose, type Matrix3, type Vector3 } from '../../calibration/vector.ts';
import type { Pose } from './handsPose.ts';
import { dipoleField } from './iron.ts';
import type { Mount } from './mount.ts';
import type { Random } from './random.ts';
import type { Scene } from './scene.ts';

interface IronSizes {
  /** Field of the tripod's iron at the board without a spacer, nT. */
  tripodNt: number;
  /** Largest field of the magnetised iron that turns along, nT; a fifth of it at least is drawn. */
  turningNt: number;
  /** 1 sigma of each element by which soft iron that turns along changes the field. */
  soft: number;
}

/** All iron around one board: in the tripod, on the turning part, and in a car that may drive up. */
export class IronAround {
  private readonly scene: Scene;
  /** Of the tripod's iron, for a field of 1 nT at the board without a spacer; and that field. */
  private readonly unitMoment: Vector3;
  private readonly tripodNt: number;
  private readonly turningMatrix: Matrix3;
  private readonly turningBiasNt: Vector3;

  constructor(scene: Scene, sizes: IronSizes, draw: Random) {
    this.scene = scene;
    const unitMoment = draw.direction();
    const unitFieldNt = norm(dipoleField({ separationM: scene.tripodIron.separationM, momentAm2: unitMoment }));
    this.unitMoment = scale(unitMoment, 1 / unitFieldNt);
    this.tripodNt = sizes.tripodNt;
    const [xx, yy, zz, xy, xz, yz] = [...draw.normal3(sizes.soft), ...draw.normal3(sizes.soft)];
    this.turningMatrix = [1 + xx, xy, xz, xy, 1 + yy, yz, xz, yz, 1 + zz];
    this.turningBiasNt = scale(draw.direction(), sizes.turningNt * draw.between(0.2, 1));
  }

  /** The Earth's field (north-east-down, nT) with what iron adds to it where the board is. */
  disturb(earthNt: Vector3, pose: Pose, mount: Mount): Vector3 {
    let field = earthNt;
    if (pose.tripodShare > 0) field = add(field, scale(this.tripodField(pose), pose.tripodShare));
    if (pose.carShare > 0) field = add(field, scale(dipoleField(this.scene.car), pose.carShare));
    return pose.turningShare > 0 ? this.withTurningIron(field, mount.turningFrame, pose.turningShare) : field;
  }

  /** A spacer lengthens the way from the iron to the board. */
  private tripodField({ spacerM, clampedIronNt }: Pose): Vector3 {
    const { separationM } = this.scene.tripodIron;
    const stretched = scale(separationM, 1 + spacerM / norm(separationM));
    return dipoleField({ separationM: stretched, momentAm2: scale(this.unitMoment, this.tripodNt + clampedIronNt) });
  }

  /** Iron of the turning part keeps its place in that part's frame. */
  private withTurningIron(field: Vector3, frame: Matrix3, share: number): Vector3 {
    const inFrame = apply(transpose(frame), field);
    const disturbed = apply(frame, add(apply(this.turningMatrix, inFrame), this.turningBiasNt));
    return share === 1 ? disturbed : add(scale(disturbed, share), scale(field, 1 - share));
  }
}
