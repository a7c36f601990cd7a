/** Identification registers of an HMC5883L and of what descends from it. */
export const hFortyThree: Readonly<Record<number, number>> = { 0x0a: 0x48, 0x0b: 0x34, 0x0c: 0x33 };

const limit = 2047;
const beyondRange = -4096;

/** The order of its output registers, and what it shows beyond its range. */
export const honeywellOutput = (x: number, y: number, z: number): number[] =>
  [x, z, y].map((value) => (Math.abs(Math.round(value)) > limit ? beyondRange : value));
