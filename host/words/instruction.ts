import { plainAngle, bandSigmas, saysNothing, sideOf, type Axis } from './reading.ts';

/** What is known of turning one bolt. */
export interface BoltTurn {
  degPerTurn: number;
  /** Turns that are lost when the way of turning changes; 0 while that is not known. */
  playTurns: number;
  /** Way that the error went when the bolt was turned last: the play is taken up on that side. */
  lastWay: 1 | -1;
}

/** Parts of a turn that a hand can tell apart. */
const parts: readonly [number, string][] = [
  [1 / 8, 'an eighth of a turn'],
  [1 / 4, 'a quarter of a turn'],
  [1 / 3, 'a third of a turn'],
  [1 / 2, 'half a turn'],
  [2 / 3, 'two thirds of a turn'],
  [3 / 4, 'three quarters of a turn'],
  [1, 'one turn'],
  [1.5, 'one and a half turns'],
];

/** A play below this is no part of a turn that a hand can tell. */
const leastTurns = 1 / 16;

export function turnsWords(turns: number): string {
  const size = Math.abs(turns);
  if (size < leastTurns) return 'a touch';
  if (size >= 1.75)
    return `${size < 10 ? (Math.round(size * 2) / 2).toString().replace('.5', ' and a half') : Math.round(size)} turns`;
  return parts.reduce((best, part) => (Math.abs(part[0] - size) < Math.abs(best[0] - size) ? part : best))[1];
}

/** With a sigma above this a needle says nothing of the bolts: no board that was tumbled and swung comes near it. */
const mostUsefulSigmaDeg = 2;
export const cannotTell = (errorDeg: number, sigmaDeg: number): boolean =>
  saysNothing(sigmaDeg) || (sigmaDeg > mostUsefulSigmaDeg && Math.abs(errorDeg) <= bandSigmas * sigmaDeg);

/** The error is no larger than what this measurement can tell, and that is fine enough to mean something. */
export const isWithinWhatIsKnown = (errorDeg: number, sigmaDeg: number): boolean =>
  sigmaDeg <= mostUsefulSigmaDeg && Math.abs(errorDeg) <= sigmaDeg;

const away = { high: 'lower', low: 'raise', east: 'toward west', west: 'toward east' } as const;

/** A bolt is named: turning it would bring the axis nearer than it stands. */
export const canBeBettered = (errorDeg: number, sigmaDeg: number): boolean =>
  !cannotTell(errorDeg, sigmaDeg) && !isWithinWhatIsKnown(errorDeg, sigmaDeg);

/** What to do with one bolt, in turns where the knob is known, else as an angle. The turns take up the play where they must. */
export function instructionWords(axis: Axis, errorDeg: number, sigmaDeg: number, bolt?: BoltTurn): string {
  const bolts = axis === 'altitude' ? 'altitude bolt' : 'azimuth bolts';
  if (cannotTell(errorDeg, sigmaDeg))
    return `${axis === 'altitude' ? 'Altitude' : 'Azimuth'}: cannot tell yet. Tumble and swing first.`;
  if (isWithinWhatIsKnown(errorDeg, sigmaDeg)) return `Leave the ${bolts}.`;
  const way = away[sideOf(axis, errorDeg)];
  if (!bolt) {
    const angle = plainAngle(errorDeg, bandSigmas * sigmaDeg);
    if (axis === 'azimuth') return `Move the axis ${angle} ${way}.`;
    return `${way === 'lower' ? 'Lower' : 'Raise'} the axis ${angle}.`;
  }
  const playTurns = Math.sign(errorDeg) === bolt.lastWay ? bolt.playTurns : 0;
  const turns = turnsWords(Math.abs(errorDeg) / bolt.degPerTurn + playTurns);
  const play = playTurns < leastTurns ? '' : `; ${turnsWords(playTurns)} of it is backlash`;
  return axis === 'altitude'
    ? `Turn the altitude bolt ${turns} to ${way} the axis${play}.`
    : `Turn the azimuth bolts ${turns}, the front ${way}${play}.`;
}
