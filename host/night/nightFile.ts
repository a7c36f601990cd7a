import { access, mkdir, readdir, rename, rm } from 'node:fs/promises';
import type { AxisEstimate } from '../../calibration/answer.ts';
import { keepFault } from '../fileFault.ts';
import { flushFolder, storePath } from '../store/folder.ts';
import { appendLines, readLines } from '../store/lines.ts';
import { underLock } from '../store/lock.ts';
import { lineOf, readLine, type EntryMore, type NightEntry } from './nightEntry.ts';
import { entryOf } from './nightEstimates.ts';
import { oldLines } from './oldNight.ts';
import { texts } from './words.ts';

const hourMs = 3_600_000;
/** Entries older than this belong to another night. */
const nightMs = 16 * hourMs;
/** A clock that was set while the night went on. */
const aheadMs = hourMs / 6;

const nightsPath = (...parts: string[]): string => storePath('nights', ...parts);
const pathOf = (night: string): string => nightsPath(`${night}.jsonl`);

/** The night that an instant belongs to, from noon to noon of this computer's time zone, by the date of its evening. */
export function nightOf(utcMs: number): string {
  const evening = new Date(utcMs - 12 * hourMs);
  const [year, month, day] = [evening.getFullYear(), evening.getMonth() + 1, evening.getDate()];
  return [String(year).padStart(4, '0'), ...[month, day].map((part) => String(part).padStart(2, '0'))].join('-');
}

const isTonight = ({ timeUtc }: NightEntry, nowMs: number): boolean => {
  const ageMs = nowMs - Date.parse(timeUtc);
  return ageMs < nightMs && ageMs >= -aheadMs;
};

interface KeptNight {
  /** All that was kept since this night began, oldest first. */
  entries: NightEntry[];
  /** What of the log is not counted, and why, as sentences. */
  cautions: string[];
}

/** Throws Failure where the log cannot be read. What is damaged in it loses only itself. */
export async function loadNight(now = new Date()): Promise<KeptNight> {
  const nowMs = now.getTime();
  const [entries, cautions]: [NightEntry[], string[]] = [[], []];
  for (const { path, lines } of await linesAbout(nowMs)) {
    const lost = { damaged: 0, 'of a newer version': 0, 'dated later than the clock shows': 0 };
    for (const line of lines.filter((each) => each.trim() !== '')) {
      const read = readLine(line);
      if (typeof read === 'string') lost[read]++;
      else if (isTonight(read, nowMs)) entries.push(read);
      else if (Date.parse(read.timeUtc) > nowMs) lost['dated later than the clock shows']++;
    }
    for (const [why, count] of Object.entries(lost)) if (count > 0) cautions.push(lostWords(path, why, count));
  }
  return { entries: entries.sort((one, other) => Date.parse(one.timeUtc) - Date.parse(other.timeUtc)), cautions };
}

const lostWords = (path: string, why: string, count: number): string =>
  count === 1 ? texts.oneEntryUnread(path, why) : texts.entriesUnread(count, path, why);

/** Of tonight and the nights beside it: another time zone may have divided them elsewhere. */
async function linesAbout(nowMs: number): Promise<{ path: string; lines: string[] }[]> {
  if (!(await isThere(nightsPath()))) return oldLines();
  const nights = [...new Set([-48, -24, 0, 24].map((hours) => nightOf(nowMs + hours * hourMs)))];
  return Promise.all(nights.map(async (night) => ({ path: pathOf(night), lines: await readLines(pathOf(night)) })));
}

/** Nights in the log that lie after this one, by their dates: the clock was wrong then, or is wrong now. */
export async function laterNights(now = new Date()): Promise<string[]> {
  const names = await readdir(nightsPath()).catch(() => []);
  const tomorrow = nightOf(now.getTime() + 24 * hourMs);
  return names
    .flatMap((name) => /^(\d{4}-\d\d-\d\d)\.jsonl$/.exec(name)?.[1] ?? [])
    .filter((night) => night > tomorrow)
    .sort();
}

/**
 * Adds to the log, under the night of the entry; when this returns it is on the disk. Nothing that is there is ever changed.
 * @returns what to tell: where it was kept, and whether it counts tonight
 */
export async function keepInNight(added: NightEntry, now = new Date()): Promise<string> {
  const night = nightOf(Date.parse(added.timeUtc));
  const line = lineOf(added);
  try {
    await underLock(async () => {
      if (!(await isThere(nightsPath()))) await takeOver();
      await appendLines(pathOf(night), [line]);
    });
  } catch (error) {
    throw keepFault(pathOf(night), error);
  }
  if (isTonight(added, now.getTime())) {
    return texts.savedTonight;
  }
  const tonight = nightOf(now.getTime());
  return texts.savedForNight(night, tonight);
}

/** The log of earlier versions, once; their files stay as they are. */
async function takeOver(): Promise<void> {
  const aside = storePath('nights.new');
  await rm(aside, { recursive: true, force: true });
  await mkdir(aside);
  const entries = (await oldLines())
    .flatMap(({ lines }) => lines.map(readLine))
    .filter((read) => typeof read !== 'string');
  for (const entry of entries) {
    await appendLines(storePath('nights.new', `${nightOf(Date.parse(entry.timeUtc))}.jsonl`), [lineOf(entry)]);
  }
  await rename(aside, nightsPath());
  await flushFolder(storePath());
}

const isThere = (path: string): Promise<boolean> =>
  access(path).then(
    () => true,
    () => false,
  );

/** Keeps one measurement of the polar axis; the rest as `keepInNight`. */
export const keepEstimate = (estimate: AxisEstimate, more: EntryMore = {}, now = new Date()): Promise<string> =>
  keepInNight(entryOf(estimate, more), now);
