import { arcsecond } from '../../calibration/angle.ts';
import type { StarPlace, TubeSide } from '../../firmware-proto/virtual/eyepiece.ts';
import { VirtualEyepiece } from '../../firmware-proto/virtual/eyepieceAtMount.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import type { VirtualWorld } from '../../firmware-proto/virtual/world.ts';

/**
 * What a person at the eyepiece of a virtual mount does and sees. Nothing of the truth passes it: the star is centred with an
 * error of centring, the moment is noted with an error of the hand, the field is read with an error of the eye.
 */
export interface Eyepiece {
  /** The clock of the virtual sky. */
  utc(): Date;
  /** The moment at which the key is pressed, as the person believes. */
  pressUtc(): Date;
  /** The hands slew to a star, given its place by UTC, and centre it; with `follow` a drive keeps it there. */
  centre(placeAt: (utc: Date) => StarPlace, side: TubeSide, follow?: boolean): Promise<void>;
  /** How far north of the middle of the field a star stands, as read; undefined when it has left the field. */
  readNorth(place: StarPlace): number | undefined;
  /** Where a star stands from the middle of the field, as read with this error of the eye; undefined when it has left the field. */
  readField(place: StarPlace, sigmaRad?: number): { northRad: number; eastRad: number } | undefined;
  stopDrive(): void;
}

/** Common practice: a clock that is set by a time signal, and a hand on a key. */
const pressSigmaMs = 1000;
/** A reticle read between its divisions. */
const readingSigmaRad = 2 * arcsecond;

/** @param startUtc what the clock of the virtual sky shows now */
export function eyepieceOf(world: VirtualWorld, startUtc = new Date()): Eyepiece {
  const eyepiece = new VirtualEyepiece(world);
  const random = new Random(world.seed ^ 0x70726573);
  const epochMs = startUtc.getTime() - world.timeS * 1000;
  const utcAt = (worldS: number): Date => new Date(epochMs + worldS * 1000);
  const northSign = Math.sign(world.scene.place.latitudeRad);
  return {
    utc: () => utcAt(world.timeS),
    pressUtc: () => new Date(utcAt(world.timeS).getTime() + pressSigmaMs * random.normal()),
    centre(placeAt, side, follow) {
      eyepiece.centre((worldS) => placeAt(utcAt(worldS)), side, follow);
      return world.hands.whenDone();
    },
    readNorth(place) {
      const seen = eyepiece.see(place);
      return seen && northSign * (seen.upArcmin * 60 * arcsecond) + readingSigmaRad * random.normal();
    },
    readField(place, sigmaRad = readingSigmaRad) {
      const seen = eyepiece.see(place);
      return (
        seen && {
          northRad: northSign * seen.upArcmin * 60 * arcsecond + sigmaRad * random.normal(),
          eastRad: -northSign * seen.rightArcmin * 60 * arcsecond + sigmaRad * random.normal(),
        }
      );
    },
    stopDrive: () => void world.hands.drive(0),
  };
}

/** The clock that goes with the sky of a session. */
export const utcOf = ({ virtual }: { virtual?: { eyepiece: Eyepiece } }): Date => virtual?.eyepiece.utc() ?? new Date();
