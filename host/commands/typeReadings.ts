import { createInterface } from 'node:readline';
import { exitCode, Failure } from '../failure.ts';
import { say } from '../output.ts';
import type { TypedReading } from '../steps/driftFile.ts';
import { requireStar, type Star } from '../sky/stars.ts';

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
    say(
      tube
        ? `The virtual drive follows ${star.name}. Type how far north of the start the star stands (south: minus), then Enter.`
        : `Centre ${star.name} with the drive running. Every half minute type how far north of the start it stands.`,
    );
  }
  if (tube) say('Each Enter lets half a minute pass; Enter alone makes no reading.');
  say("Type another star's name to switch to it, u to undo, q to end. Five minutes on each star beat extra readings.");
  const show = (): void => tube?.picture().forEach(say);
  if (star) show();
  const lines = createInterface({ input: process.stdin });
  for await (const typed of lines) {
    const line = typed.trim();
    if (line === 'q') {
      const few = tooFew(readings);
      if (few === undefined || wasTold) break;
      wasTold = true;
      say(`${few} Go on, or type q again to end with what there is.`);
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
      say(undone ? `The reading ${undone.north} of ${undone.star.name} is taken back.` : 'There is no reading yet.');
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
    if (count < fewest) return `${star.name} has ${count} of the ${fewest} readings that it needs.`;
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
    say(`Now ${star.name}.`);
    return star;
  } catch (error) {
    if (!(error instanceof Failure) || (!before && error.code !== exitCode.usage)) throw error;
    say(`${error.message} ${error.whatToDo}`);
    return before;
  }
}
