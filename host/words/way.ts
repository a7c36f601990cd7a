import { cannotTell, isWithinWhatIsKnown } from './instruction.ts';
import { sideOf, type Axis } from './reading.ts';

/** Which way to turn, for a glance from a distance. */
export interface Way {
  /** As one faces the pole: toward east is to the left in the south. */
  arrow?: 'up' | 'down' | 'left' | 'right';
  words: string;
  /** Nothing is left to do. */
  isNear: boolean;
}

const untrusted: Way = { words: 'unreliable', isNear: false };

/** @param isTrusted false while iron disturbs this needle */
export function wayToTurn(axis: Axis, errorDeg: number, sigmaDeg: number, isSouth: boolean, isTrusted: boolean): Way {
  if (!isTrusted) return untrusted;
  if (isWithinWhatIsKnown(errorDeg, sigmaDeg)) return { words: 'leave it', isNear: true };
  if (cannotTell(errorDeg, sigmaDeg)) return { words: 'cannot tell yet', isNear: false };
  const side = sideOf(axis, errorDeg);
  if (side === 'high') return { arrow: 'down', words: 'lower', isNear: false };
  if (side === 'low') return { arrow: 'up', words: 'raise', isNear: false };
  const isToEast = side === 'west';
  return {
    arrow: isToEast === isSouth ? 'left' : 'right',
    words: `toward ${isToEast ? 'EAST' : 'WEST'}`,
    isNear: false,
  };
}

/** At most three figures: at a distance, more only make all of them smaller. */
export function shortened(size: string): string {
  const figures = /^\d+\.\d+/.exec(size)?.[0] ?? '';
  return figures.length > 4 ? Number(figures).toFixed(1) + size.slice(figures.length) : size;
}
