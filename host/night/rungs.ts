import type { Answer } from '../../calibration/answer.ts';
import type { NightEntry } from './nightEntry.ts';
import { answerFrom } from './nightEstimates.ts';

/** The answer as it stood after one measurement or move. */
export interface Rung {
  timeUtc: string;
  /** "Sights", "Nudge", "Locking" and the like. */
  name: string;
  answer: Answer;
}

const estimateNames = { compass: 'Compass', sights: 'Sights', drift: 'Drift', sun: 'Sun by shadow' } as const;
const moveNames = { star: 'Nudge on a star', locking: 'Locking', load: 'Load' } as const;

/** What a rung of the log is called; undefined for a note. */
function nameOf(entry: NightEntry): string | undefined {
  if (entry.kind === 'note') return undefined;
  if (entry.kind !== 'nudge') return estimateNames[entry.kind];
  return entry.by ? moveNames[entry.by] : 'Nudge';
}

/** The answer of the night, rung by rung: after each measurement and each move of the axis, from the first measurement on. */
export function rungsOf(entries: readonly NightEntry[], latitudeRad: number): Rung[] {
  return entries.flatMap((entry, index) => {
    const name = nameOf(entry);
    if (name === undefined) return [];
    const { timeUtc } = entry;
    const answer = answerFrom(entries.slice(0, index + 1), latitudeRad, Date.parse(timeUtc));
    return answer ? [{ timeUtc, name, answer }] : [];
  });
}

const proofs = {
  compass: 'the compass alone',
  sights: 'sights of stars',
  drift: 'the drift of stars',
  sun: "the Sun's shadow",
};

/** How the answer was proved: by what, when, and what was done to the axis since. */
export function proofWords(entries: readonly NightEntry[]): string {
  const isMeasured = ({ kind }: NightEntry): boolean => kind !== 'note' && kind !== 'nudge';
  const last = entries.findLastIndex(isMeasured);
  const measured = entries.at(last);
  if (last < 0 || !measured || measured.kind === 'note' || measured.kind === 'nudge') return 'not proved';
  const since = entries
    .slice(last + 1)
    .flatMap((entry) => (entry.kind === 'nudge' ? [entry.by ?? ('bolts' as const)] : []));
  const carriers = {
    bolts: 'a nudge by the needles',
    star: 'a nudge on a star',
    locking: 'the locking of the bolts',
    load: 'a change of load',
  };
  const carried = [...new Set(since)].map((by) => carriers[by]);
  const over = carried.length > 0 ? `, carried over ${carried.join(' and ')}` : '';
  return `proved by ${proofs[measured.kind]} at ${measured.timeUtc.slice(11, 16)} UTC${over}`;
}
