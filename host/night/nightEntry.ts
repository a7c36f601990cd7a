import { z } from 'zod';
import { stepOrder, type StepOfNight } from './stepsOfNight.ts';

const errorDeg = z.number().min(-180).max(180);
const words = z.string().max(500);

const estimateEntry = z.object({
  kind: z.enum(['compass', 'sights', 'drift', 'sun']),
  timeUtc: z.iso.datetime(),
  altitudeErrorDeg: errorDeg,
  azimuthErrorDeg: errorDeg,
  sigmaAltitudeErrorDeg: z.number().positive(),
  sigmaAzimuthErrorDeg: z.number().positive(),
  correlation: z.number().min(-1).max(1),
  /** The compass rung is already in it. */
  restsOnCompass: z.boolean().optional(),
  /** What was measured before does not count beside it: it is already in it, or was given up. */
  replacesEarlier: z.boolean().optional(),
  words: words.optional(),
});

const nudgeEntry = z.object({
  kind: z.literal('nudge'),
  timeUtc: z.iso.datetime(),
  altitudeShiftDeg: errorDeg,
  azimuthShiftDeg: errorDeg,
  /** Since the nudge before: from its last reading of the needles to the first of this one; absent: long. */
  restedS: z.number().nonnegative().optional(),
  /** What moved the axis, and by what it was read; absent: the bolts, by the needles. */
  by: z.enum(['star', 'locking', 'load']).optional(),
  /** It begins with the very reading that the nudge before ended with, so that its error is not counted again. */
  goesOn: z.boolean().optional(),
  /** How well the shift is known where it was not read off the needles; all three or none. */
  sigmaAltitudeShiftDeg: z.number().positive().optional(),
  sigmaAzimuthShiftDeg: z.number().positive().optional(),
  shiftCorrelation: z.number().min(-1).max(1).optional(),
  /** What moved the axis, where it was not the bolts alone. */
  words: words.optional(),
});

const noteEntry = z.object({
  kind: z.literal('note'),
  timeUtc: z.iso.datetime(),
  words,
  /** What was measured before counts no more. */
  replacesEarlier: z.boolean().optional(),
  /** The step of the evening that is done with this; one that a later version knows is none. */
  step: z.enum(stepOrder).optional().catch(undefined),
});

const entry = z.discriminatedUnion('kind', [estimateEntry, nudgeEntry, noteEntry]);
export type NightEntry = z.infer<typeof entry>;
export type NudgeEntry = z.infer<typeof nudgeEntry>;

/** Something was measured or moved; notes alone are none of it. */
export const hasBegun = (entries: readonly NightEntry[]): boolean => entries.some(({ kind }) => kind !== 'note');

/** A step was noted since the last measurement or move of the axis. */
export function isNoted(entries: readonly NightEntry[], step: StepOfNight): boolean {
  const last = entries.findLastIndex(({ kind }) => kind !== 'note');
  return entries.slice(last + 1).some((made) => made.kind === 'note' && made.step === step);
}

const schemaNow = 1;
const anyLine = z.object({ schema: z.int(), kind: z.string() });

/** Throws where an entry could not be read again. */
export const lineOf = (made: NightEntry): string => JSON.stringify({ schema: schemaNow, ...entry.parse(made) });

/** One line of the log: an entry, or why it counts for nothing here. Keys and kinds that a later version adds are skipped. */
export function readLine(line: string): NightEntry | 'damaged' | 'of a newer version' {
  let value: unknown;
  try {
    value = JSON.parse(line);
  } catch {
    return 'damaged';
  }
  const { data: any } = anyLine.safeParse(value);
  if (!any) return 'damaged';
  const known = entry.options.find(({ shape }) => shape.kind.safeParse(any.kind).success);
  if (any.schema > schemaNow || !known) return 'of a newer version';
  return known.safeParse(value).data ?? 'damaged';
}

/** What an entry may say beside the measurement. */
export type EntryMore = Pick<z.infer<typeof estimateEntry>, 'restsOnCompass' | 'replacesEarlier' | 'words'>;
