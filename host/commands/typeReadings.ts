import { createInterface } from 'node:readline';
import { exitCode, Failure } from '../failure.ts';
import { say } from '../output.ts';
import type { TypedReading } from '../steps/driftFile.ts';
import { requireStar, type Star } from '../sky/stars.ts';
import { texts } from './words/drift.ts';

/** What stands in for tube, drive and clock where they are virtual. */
export interface PracticeTube {
  follow(star: Star): void;
  utc(): Date;
  /** What the eye sees, as lines; the time goes on with each. */
  pass(): void;
  picture(): string[];
}

/**
 * A person types each reading as it is made; the clock is read at Enter, or is that of the virtual sky.
 * @param mayFollow throws Failure where a star may not be followed now
 */
export async function typeReadings(
  firstStar: string,
  { tube, mayFollow = () => {} }: { tube?: PracticeTube; mayFollow?: (star: Star) => void },
): Promise<TypedReading[]> {
  const follow = (next: Star): void => (tube ? tube.follow(next) : mayFollow(next));
  const first = requireStar(firstStar);
  // one that is below the horizon is no reason to leave
  let star = goOver(first.name, undefined, follow);
  const readings: TypedReading[] = [];
  let wasTold = false;
  if (star) {
    say(tube ? texts.driveFollows(star.name) : texts.centre(star.name));
  }
  if (tube) say(texts.halfMinutes);
  say(texts.keys);
  const show = (): void => tube?.picture().forEach(say);
  if (star) show();
  const lines = createInterface({ input: process.stdin });
  for await (const typed of lines) {
    const line = typed.trim();
    if (line === 'q') {
      const few = tooFew(readings);
      if (few === undefined || wasTold) break;
      wasTold = true;
      say(texts.goOn(few));
      continue;
    }
    wasTold = false;
    if (!star && line !== '') {
      star = goOver(line, undefined, follow);
      if (star) show();
      continue;
    }
    if (!star) continue;
    if (line === '' || Number.isFinite(Number(line))) {
      if (line === '' && !tube) continue;
      if (line !== '') {
        readings.push({ star, utc: tube?.utc() ?? new Date(), north: Number(line) });
        warn(star, mayFollow);
      }
      tube?.pass();
    } else if (line === 'u') {
      const undone = readings.pop();
      say(undone ? texts.takenBack(undone.north, undone.star.name) : texts.nothingYet);
    } else star = goOver(line, star, follow);
    show();
  }
  lines.close();
  if (!star) throw new Failure(exitCode.usage, `${first.name} cannot be watched now.`, 'See: lodepole drift --list');
  if (readings.length === 0) throw new Failure(exitCode.refused, 'No reading was made.', 'Type one number a line.');
  return readings;
}

const fewest = 5;

/** Which star has too few readings for a line; undefined when all have enough. */
function tooFew(readings: readonly TypedReading[]): string | undefined {
  if (readings.length === 0) return undefined;
  for (const { star } of readings) {
    const count = readings.filter((reading) => reading.star === star).length;
    if (count < fewest) return texts.tooFew(star.name, count, fewest);
  }
  return undefined;
}

/** Dawn comes while a star is watched. */
function warn(star: Star, mayFollow: (star: Star) => void): void {
  try {
    mayFollow(star);
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    say(`Caution: ${error.message}`);
  }
}

/** The star of that name, or the one before where there is none or it cannot be seen. Throws Failure where no star may be taken. */
function goOver<Before extends Star | undefined>(
  name: string,
  before: Before,
  follow: (star: Star) => void,
): Star | Before {
  try {
    const star = requireStar(name);
    follow(star);
    say(texts.nowStar(star.name));
    return star;
  } catch (error) {
    if (!(error instanceof Failure) || (!before && error.code !== exitCode.usage)) throw error;
    say(`${error.message} ${error.whatToDo}`);
    return before;
  }
}
