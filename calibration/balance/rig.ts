/** What is screwed to the tube, or the tube itself; lengths in millimetres, masses in kilograms. */
export interface Part {
  name: string;
  massKg: number;
  /** One standard deviation of the mass; absent: exact. */
  sigmaKg?: number;
  /** Along the tube from the declination axis, sky end positive, with the dovetail where it is now. */
  alongMm: number;
  /** From the right-ascension axis, along the declination axis. */
  outMm: number;
  /** To the side: square to the tube and to the declination axis. */
  sideMm?: number;
}

export interface Counterweight {
  massKg: number;
  sigmaKg?: number;
  /** From the right-ascension axis, away from the tube: where its middle can stand. */
  fromMm: number;
  toMm: number;
  /** Where it stands now; absent: not on. */
  atMm?: number;
  /** Its thickness along the shaft; absent: several may be told the same place. */
  thickMm?: number;
}

export interface Rig {
  name: string;
  /** How far the dovetail can slide from where it is, sky end positive. */
  travelMm: readonly [from: number, to: number];
  parts: readonly Part[];
  /** Ends of the tube, to which a weight can be strapped, as `alongMm`; absent: not known. */
  endsMm?: readonly [eyepiece: number, sky: number];
  counterweights: readonly Counterweight[];
  shaft: { massKg: number; centreMm: number; sigmaKg?: number };
}

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

export const tubeMassKg = ({ parts }: Rig): number => sum(parts.map(({ massKg }) => massKg));
export const weightsMassKg = ({ counterweights }: Rig): number => sum(counterweights.map(({ massKg }) => massKg));

/** First moments of all parts, kilogram millimetres: along the tube, out from the right-ascension axis, to the side. */
export const momentsOf = ({ parts }: Rig) => ({
  alongKgMm: sum(parts.map(({ massKg, alongMm }) => massKg * alongMm)),
  outKgMm: sum(parts.map(({ massKg, outMm }) => massKg * outMm)),
  sideKgMm: sum(parts.map(({ massKg, sideMm = 0 }) => massKg * sideMm)),
});

/** What the counterweights must hold: the parts' moment about the right-ascension axis less the shaft's, kilogram millimetres. */
export const loadKgMm = (rig: Rig): number => momentsOf(rig).outKgMm - rig.shaft.massKg * rig.shaft.centreMm;

/** Standard gravity (3rd CGPM, 1901) a millimetre. */
const gravityMPerS2 = 9.80665;
/** Newton metres of a first moment lying level. */
export const inNm = (momentKgMm: number): number => (momentKgMm * gravityMPerS2) / 1000;
