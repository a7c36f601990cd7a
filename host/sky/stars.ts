import { arcsecond, degree } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../failure.ts';
import { nearNames, plainName } from '../nearNames.ts';
import list from './stars.json' with { type: 'json' };

export interface Star {
  /** The IAU name, or the Bayer designation where it has none. */
  name: string;
  bayer: string;
  hip: number;
  /** ICRS, epoch J2000.0. */
  rightAscensionRad: number;
  declinationRad: number;
  /** Per Julian year; the right ascension's with its cosine of declination. */
  properMotionRaCosDecRad: number;
  properMotionDecRad: number;
  parallaxRad: number;
  magnitude: number;
}

const milliarcsecond = arcsecond / 1000;

export const stars: readonly Star[] = (
  list.stars as [string | null, string, number, number, number, number, number, number, number][]
).map(([name, bayer, hip, ra, dec, pmRa, pmDec, parallax, magnitude]) => ({
  name: name ?? bayer,
  bayer,
  hip,
  rightAscensionRad: ra * degree,
  declinationRad: dec * degree,
  properMotionRaCosDecRad: pmRa * milliarcsecond,
  properMotionDecRad: pmDec * milliarcsecond,
  parallaxRad: parallax * milliarcsecond,
  magnitude,
}));

/** Must be shown wherever the list is credited. */
export const starsCredit = list.credit;

const greek =
  'alpha beta gamma delta epsilon zeta eta theta iota kappa lambda mu nu xi omicron pi rho sigma tau upsilon phi chi psi omega'.split(
    ' ',
  );
const greekLetters = 'αβγδεζηθικλμνξοπρστυφχψω';
const latinOf = (letter: string): string => greek[greekLetters.indexOf(letter)];

/** Genitives of the constellations that the list meets, by their IAU abbreviation. */
const genitives: Record<string, string> = {
  And: 'Andromedae',
  Aql: 'Aquilae',
  Aqr: 'Aquarii',
  Ari: 'Arietis',
  Aur: 'Aurigae',
  Boo: 'Bootis',
  CMa: 'Canis Majoris',
  CMi: 'Canis Minoris',
  Cap: 'Capricorni',
  Car: 'Carinae',
  Cas: 'Cassiopeiae',
  Cen: 'Centauri',
  Cet: 'Ceti',
  Cnc: 'Cancri',
  Cru: 'Crucis',
  Crv: 'Corvi',
  Cyg: 'Cygni',
  Eri: 'Eridani',
  Gem: 'Geminorum',
  Gru: 'Gruis',
  Her: 'Herculis',
  Hya: 'Hydrae',
  Leo: 'Leonis',
  Lep: 'Leporis',
  Lib: 'Librae',
  Lup: 'Lupi',
  Lyr: 'Lyrae',
  Oct: 'Octantis',
  Oph: 'Ophiuchi',
  Ori: 'Orionis',
  Pav: 'Pavonis',
  Peg: 'Pegasi',
  Per: 'Persei',
  PsA: 'Piscis Austrini',
  Sco: 'Scorpii',
  Ser: 'Serpentis',
  Sgr: 'Sagittarii',
  Tau: 'Tauri',
  TrA: 'Trianguli Australis',
  UMa: 'Ursae Majoris',
  UMi: 'Ursae Minoris',
  Vel: 'Velorum',
  Vir: 'Virginis',
};

/** All spellings under which a star is found, plain: name, Bayer letter in Greek, Latin or short, with or without its number, HIP. */
function spellings({ name, bayer, hip }: Star): string[] {
  const [, letter, index, constellation] = /^(.)(\d?) (\w+)$/u.exec(bayer) ?? [];
  const latin = latinOf(letter);
  const letters = [letter, latin, latin.slice(0, 3)].flatMap((form) => [form + index, `${form} ${index}`, form]);
  const designations = letters.flatMap((form) => [`${form} ${constellation}`, `${form} ${genitives[constellation]}`]);
  return [name, `hip ${hip}`, `hip${hip}`, String(hip), ...designations].map(plainName);
}

/** The brighter star of a pair comes first in the list and keeps the shared spelling. */
const byName = new Map<string, Star>();
for (const star of stars) {
  for (const spelling of spellings(star)) if (!byName.has(spelling)) byName.set(spelling, star);
}

/** A star by common name, Bayer letter (Greek or Latin) or HIP number; undefined when there is none. */
export const starNamed = (text: string): Star | undefined => byName.get(plainName(text));

/** As `starNamed`, but throws Failure with near matches. */
export function requireStar(text: string, otherNames: readonly string[] = []): Star {
  const star = starNamed(text);
  if (star) return star;
  const near = nearNames(text, [...stars.map(({ name }) => name), ...otherNames]);
  throw new Failure(
    exitCode.usage,
    `"${text}" is not among the ${stars.length} stars of the built-in list.`,
    near.length > 0
      ? `Did you mean ${near.join(', ')}?`
      : `Name a star by its common name, Bayer letter ("alpha Lyr") or HIP number${otherNames.length > 0 ? ', or give --ra and --dec' : ''}.`,
  );
}
