import { arcminute } from '../../calibration/angle.ts';
import {
  aimAt,
  counterweightIsBelow,
  miscentred,
  offsetIn,
  siderealDriveRadPerS,
  starNed,
  viewOf,
  type Aim,
  type StarPlace,
  type TubeMake,
  type TubeSide,
} from './eyepiece.ts';
import { eased } from './handsPath.ts';
import { Random } from './random.ts';
import type { VirtualWorld } from './world.ts';

interface EyepieceOptions {
  /** Largest cone and non-perpendicularity; each world draws its own. */
  largestRad?: number;
  /** How well a star is centred, 1 sigma in each direction. */
  centringRad?: number;
}

const slewS = 4;

/** The tube on a virtual mount: hands slew it, the eye sees where a star stands in the field. */
export class VirtualEyepiece {
  readonly tube: TubeMake;
  private readonly world: VirtualWorld;
  private readonly random: Random;
  private readonly centringRad: number;
  private declinationAngleRad = 0;

  constructor(
    world: VirtualWorld,
    { largestRad = 15 * arcminute, centringRad = 1.5 * arcminute }: EyepieceOptions = {},
  ) {
    this.world = world;
    this.random = new Random(world.seed ^ 0x65796570);
    this.centringRad = centringRad;
    this.tube = {
      coneRad: this.random.between(-largestRad, largestRad),
      nonPerpendicularityRad: this.random.between(-largestRad, largestRad),
    };
  }

  /** Turns of the axes that centre a star, and whether the counterweight then hangs below the tube. */
  aim(star: StarPlace, side: TubeSide): Aim & { counterweightBelow: boolean } {
    const frame = this.world.mount.axisFrame;
    const aim = aimAt(frame, this.tube, this.direction(star), side);
    return { ...aim, counterweightBelow: counterweightIsBelow(frame, aim) };
  }

  /**
   * Slews to a star and centres it as well as an eye does; joins the queue of the hands and returns the world time at
   * which the star is centred. `starAt` tells where it stands at a world time. With `follow` a drive keeps it there.
   */
  centre(starAt: (worldS: number) => StarPlace, side: TubeSide, follow = false): number {
    const { hands, mount, scene } = this.world;
    const doneS = hands.readyS + slewS;
    const rightRad = this.centringRad * this.random.normal();
    const upRad = this.centringRad * this.random.normal();
    return hands.perform({
      words: 'slewing to a star and centring it',
      durationS: slewS,
      begin: () => {
        mount.driveRadPerS = 0;
        const star = this.direction(starAt(doneS));
        const exact = aimAt(mount.axisFrame, this.tube, star, side);
        const seen = miscentred(viewOf(mount.axisFrame, this.tube, exact), star, rightRad, upRad);
        const target = aimAt(mount.axisFrame, this.tube, seen, side);
        const from: Aim = { axisAngleRad: mount.axisAngleRad, declinationAngleRad: this.declinationAngleRad };
        return (elapsedS) => {
          const s = eased(elapsedS / slewS);
          mount.axisAngleRad = from.axisAngleRad + (target.axisAngleRad - from.axisAngleRad) * s;
          this.declinationAngleRad =
            from.declinationAngleRad + (target.declinationAngleRad - from.declinationAngleRad) * s;
          if (follow && elapsedS >= slewS) mount.driveRadPerS = siderealDriveRadPerS(scene.place.latitudeRad);
        };
      },
    });
  }

  /** Where a star stands in the field now, in arcminutes right and up (up is toward the elevated pole); undefined far outside. */
  see(star: StarPlace): { rightArcmin: number; upArcmin: number } | undefined {
    const { mount } = this.world;
    const aim = { axisAngleRad: mount.axisAngleRad, declinationAngleRad: this.declinationAngleRad };
    const offset = offsetIn(viewOf(mount.axisFrame, this.tube, aim), this.direction(star));
    return offset && { rightArcmin: offset.rightRad / arcminute, upArcmin: offset.upRad / arcminute };
  }

  private direction(star: StarPlace) {
    return starNed(this.world.scene.place.latitudeRad, star);
  }
}
