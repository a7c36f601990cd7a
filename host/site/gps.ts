import { exitCode, Failure } from '../failure.ts';
import { openSerialPort } from '../link/serialPort.ts';
import { readSentence, type Fix } from './nmea.ts';

/** Speed of NMEA 0183's standard line, bits a second. */
const usualSpeed = 4800;
/** A receiver speaks once a second: one that spoke and then says nothing for this long was pulled out (not every binding tells). */
const silenceMs = 4000;

/**
 * Waits for a position with elevation (GGA) and a date (RMC) on a serial port, and returns what came within `limitS`.
 * Throws Failure when the port cannot be opened, goes away, or no valid position comes.
 */
export async function fixFromPort(path: string, limitS = 20): Promise<Fix> {
  const port = await openSerialPort(path, usualSpeed);
  let timer: NodeJS.Timeout | undefined;
  let silence: NodeJS.Timeout | undefined;
  try {
    return await new Promise<Fix>((resolve, reject) => {
      const collector = fixCollector();
      timer = setTimeout(() => {
        const partial = collector.best();
        if (partial) resolve(partial);
        else reject(noFix(path, limitS, collector.counts()));
      }, limitS * 1000);
      const wentAway = (reason: string): void =>
        reject(
          new Failure(
            exitCode.inputOutput,
            `The receiver on ${path} went away: ${reason}.`,
            'Check its cable and try again, or give --lat and --lon.',
          ),
        );
      port.onClose(wentAway);
      port.onBytes((bytes) => {
        silence ??= setTimeout(wentAway, silenceMs, 'it fell silent');
        silence.refresh();
        const fix = collector.offer(Buffer.from(bytes).toString('latin1'));
        if (fix) resolve(fix);
      });
    });
  } finally {
    clearTimeout(timer);
    clearTimeout(silence);
    await port.close();
  }
}

const noFix = (path: string, limitS: number, counts: Record<string, number>): Failure => {
  const seen = Object.entries(counts).map(([what, count]) => `${count} ${what}`);
  return new Failure(
    exitCode.badData,
    `No position came from ${path} within ${limitS} s (${seen.length > 0 ? seen.join(', ') : 'nothing arrived'}).`,
    'Give the receiver a free view of the sky and try again, or give --lat and --lon.',
  );
};

const longestSentence = 200;

/** Gathers text in any pieces; whole once both a position with elevation and a date have come. */
export function fixCollector() {
  let rest = '';
  let fix: Fix | undefined;
  const counts: Record<string, number> = {};
  return {
    offer(text: string): Fix | undefined {
      const lines = (rest + text).split(/\r?\n/);
      rest = (lines.pop() ?? '').slice(-longestSentence);
      for (const line of lines) {
        const result = readSentence(line);
        if ('fix' in result) {
          const { elevationM = fix?.elevationM, utc = fix?.utc } = result.fix;
          fix = { ...result.fix, elevationM, utc };
        } else counts[result.passedOver] = (counts[result.passedOver] ?? 0) + 1;
      }
      return fix?.elevationM !== undefined && fix.utc !== undefined ? fix : undefined;
    },
    best: (): Fix | undefined => fix,
    counts: (): Record<string, number> => counts,
  };
}
