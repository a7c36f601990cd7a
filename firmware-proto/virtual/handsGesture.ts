import { multiply, scale, type Matrix3, type Vector3 } from '../../calibration/vector.ts';
import { between, eased, tumbleAttitude, type TumbleShape } from './handsPath.ts';
import type { Placement, Pose } from './handsPose.ts';
import { axisFrameOf, baseTilt, type BoltName, type Mount } from './mount.ts';

/** Something that hands do, smooth in world time. */
export interface Gesture {
  /** What is going on, as one would tell a bystander. */
  words: string;
  /** The bolt that is being turned. */
  bolt?: BoltName;
  durationS: number;
  /** Called when it begins; the function returned is called with the seconds since then, last with exactly `durationS`. */
  begin(pose: Pose, mount: Mount): (elapsedS: number) => void;
}

const tremorG = 0.004;
const carryS = 2.5;
const loadS = 6;
/** A clip that is opened and closed jerks the board. */
const clippingG = 0.08;

export const rest = (durationS: number, words = 'hands off'): Gesture => ({ words, durationS, begin: () => () => {} });

export function turnBolt(bolt: BoltName, turns: number): Gesture {
  const way = bolt === 'altitude' ? (turns > 0 ? 'raising' : 'lowering') : turns > 0 ? 'toward east' : 'toward west';
  return {
    words: `turning the ${bolt} bolt by ${Math.abs(turns).toFixed(2)} turns, ${way}`,
    bolt,
    durationS: Math.abs(turns) / 0.4 + 0.3,
    begin: (pose, mount) => {
      mount.turnBolt(bolt, turns);
      return whileHeld(pose, tremorG / 4, Math.abs(turns) / 0.4 + 0.3);
    },
  };
}

export function lockBolt(bolt: BoltName, locked: boolean): Gesture {
  return {
    words: `${locked ? 'locking' : 'unlocking'} the ${bolt} bolt`,
    durationS: 3,
    begin: (pose, mount) => {
      mount[bolt].locked = locked;
      return whileHeld(pose, tremorG, 2.5);
    },
  };
}

/** Puts tube, counterweights and camera on, or takes them off. */
export const load = (on: boolean): Gesture => ({
  words: on ? 'putting the counterweights, then the tube on' : 'taking the tube off, then the counterweights',
  durationS: loadS,
  begin: (pose, mount) => {
    const from = mount.loadShare;
    if (on) mount.beginLoad();
    return (elapsedS) => {
      pose.shakeG = elapsedS < loadS ? tremorG : 0;
      mount.loadShare = from + ((on ? 1 : 0) - from) * eased(elapsedS / loadS);
    };
  },
});

export function turnAxis(toAngleRad: number, durationS = 1.8): Gesture {
  return {
    words: 'turning the right-ascension axis',
    durationS,
    begin: (pose, mount) => {
      const from = mount.axisAngleRad;
      return (elapsedS) => {
        pose.shakeG = elapsedS < durationS ? tremorG : 0;
        mount.axisAngleRad = from + (toAngleRad - from) * eased(elapsedS / durationS);
      };
    },
  };
}

/** Sets the drive going or stops it. */
export const drive = (radPerS: number): Gesture => ({
  words: radPerS === 0 ? 'stopping the drive' : 'starting the drive',
  durationS: 0,
  begin: (_pose, mount) => () => {
    mount.driveRadPerS = radPerS;
  },
});

interface CarryTo {
  placement: Placement;
  reversed?: boolean;
  turnedOnBase?: boolean;
  words: string;
}

/** Takes the board from where it is and puts it down elsewhere. */
export function carry({ placement, reversed = false, turnedOnBase = false, words }: CarryTo): Gesture {
  return {
    words,
    durationS: carryS,
    begin: (pose) => {
      const from = pose.attitude;
      const to = pose.restingAttitude(placement, reversed, turnedOnBase);
      const shares = [pose.tripodShare, pose.turningShare];
      pose.placement = 'hand';
      return (elapsedS) => {
        const s = eased(elapsedS / carryS);
        pose.heldAttitude = between(from, to, s);
        pose.tripodShare = shares[0] + (1 - shares[0]) * s;
        pose.turningShare = shares[1] + ((placement === 'axis' ? 1 : 0) - shares[1]) * s;
        pose.shakeG = 5 * tremorG;
        if (elapsedS < carryS) return;
        Object.assign(pose, { placement, reversed, turnedOnBase, heldAttitude: undefined, shakeG: 0 });
      };
    },
  };
}

/** Puts a spacer of wood under the board, or takes it out: away from the tripod's iron by as much. */
export const putSpacer = (spacerM: number): Gesture => ({
  words: `putting a spacer of ${Math.round(spacerM * 1000)} mm under the board`,
  durationS: carryS,
  begin: (pose) => {
    const fromM = pose.spacerM;
    return (elapsedS) => {
      pose.spacerM = fromM + (spacerM - fromM) * eased(elapsedS / carryS);
      pose.shakeG = elapsedS < carryS ? clippingG : 0;
    };
  },
});

/** Takes the board in the hand, away from iron, and turns it along a path. */
function inHand(
  words: string,
  durationS: number,
  attitudeAt: (elapsedS: number) => Matrix3,
  shakeAt: (elapsedS: number) => number,
): Gesture {
  return {
    words,
    durationS: carryS + durationS,
    begin: (pose) => {
      const from = pose.attitude;
      const first = attitudeAt(0);
      const shares: Vector3 = [pose.tripodShare, pose.turningShare, 0];
      pose.placement = 'hand';
      return (elapsedS) => {
        const s = eased(Math.min(elapsedS / carryS, 1));
        [pose.tripodShare, pose.turningShare] = scale(shares, 1 - s);
        pose.heldAttitude = elapsedS < carryS ? between(from, first, s) : attitudeAt(elapsedS - carryS);
        pose.shakeG = shakeAt(elapsedS);
      };
    },
  };
}

export const tumble = (shape: TumbleShape): Gesture =>
  inHand(
    'tumbling the board in the hand, away from iron',
    shape.durationS,
    (elapsedS) => tumbleAttitude(shape, elapsedS),
    (elapsedS) => tremorG * (1 + 2 * Math.abs(Math.sin((Math.PI * elapsedS) / shape.restEveryS))),
  );

/** Points the board's x axis along the skyline, once round from north through east, the board held upright. */
export const sweep = (skyline: (azimuthRad: number) => number, durationS: number): Gesture =>
  inHand(
    'sweeping the board along the skyline',
    durationS,
    (elapsedS) => {
      const azimuthRad = (2 * Math.PI * elapsedS) / durationS;
      return axisFrameOf({ altitudeRad: skyline(azimuthRad), azimuthRad });
    },
    () => tremorG,
  );

/** Clamps a piece of iron to the mount below the clip, of this field at the board without a spacer; 0 takes it away. */
export const clampIron = (fieldNt: number): Gesture => ({
  words: fieldNt > 0 ? 'clamping a piece of iron to the mount below the clip' : 'taking the iron off the mount',
  durationS: 2,
  begin: (pose) => {
    const fromNt = pose.clampedIronNt;
    return (elapsedS) => {
      pose.clampedIronNt = fromNt + (fieldNt - fromNt) * eased(elapsedS / 2);
      pose.shakeG = elapsedS < 2 ? tremorG : 0;
    };
  },
});

export const bringIron = (near: boolean): Gesture => ({
  words: near ? 'a car drives up' : 'the car drives away',
  durationS: 4,
  begin: (pose) => {
    const from = pose.carShare;
    return (elapsedS) => {
      pose.carShare = from + ((near ? 1 : 0) - from) * eased(elapsedS / 4);
    };
  },
});

/** Someone walks into a leg of the tripod: the base sinks by an angle on the side at an azimuth. */
export const bump = (byRad: number, azimuthRad: number): Gesture => ({
  words: 'someone has bumped the tripod',
  durationS: 0.4,
  begin: (pose, mount) => {
    const from = mount.tilt;
    return (elapsedS) => {
      mount.tilt = multiply(baseTilt(byRad * eased(elapsedS / 0.4), azimuthRad), from);
      pose.shakeG = elapsedS < 0.4 ? 0.1 : 0;
    };
  },
});

function whileHeld(pose: Pose, shakeG: number, durationS: number): (elapsedS: number) => void {
  return (elapsedS) => {
    pose.shakeG = elapsedS < durationS ? shakeG : 0;
  };
}
