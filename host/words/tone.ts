/** What one hears for one axis: how far by pitch and rhythm, which way by the side of the reference tone. */
export interface Tone {
  /** Above the reference: too high or too far east. Below: too low or too far west. */
  pitchHz: number;
  /** Beats a second; they quicken toward zero. */
  beatsPerS: number;
  /** Within what is known: one steady tone, no beats. */
  steady: boolean;
}

export const referenceHz = 440;
const widestDeg = 10;
const nearestDeg = 1 / 60;
const octavesAtWidest = 1.5;

/** Logarithmic, so that a degree and an arcminute can both be heard. */
export function toneFor(errorDeg: number, sigmaDeg: number): Tone {
  const size = Math.abs(errorDeg);
  if (size <= sigmaDeg) return { pitchHz: referenceHz, beatsPerS: 0, steady: true };
  const share = Math.min(1, Math.max(0, Math.log(size / nearestDeg) / Math.log(widestDeg / nearestDeg)));
  const octaves = Math.sign(errorDeg) * (0.15 + (octavesAtWidest - 0.15) * share);
  return { pitchHz: referenceHz * 2 ** octaves, beatsPerS: 8 - 7 * share, steady: false };
}
