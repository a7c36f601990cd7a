import { ReadlineParser } from '@serialport/parser-readline';
import { exitCode, Failure } from '../failure.ts';
import { openSerialPort } from './serialPort.ts';
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
      // What it holds of a line that never ends is bounded by the time that a receiver is given.
      const lines = new ReadlineParser({ encoding: 'latin1' });
      lines.on('data', (line: string) => {
        const fix = collector.offer(line);
        if (fix) resolve(fix);
      });
      port.onBytes((bytes) => {
        silence ??= setTimeout(wentAway, silenceMs, 'it fell silent');
        silence.refresh();
        lines.write(Buffer.from(bytes));
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

/** Gathers lines; whole once both a position with elevation and a date have come. */
export function fixCollector() {
  let fix: Fix | undefined;
  const counts: Record<string, number> = {};
  return {
    offer(line: string): Fix | undefined {
      const result = readSentence(line);
      if ('fix' in result) {
        const { elevationM = fix?.elevationM, utc = fix?.utc } = result.fix;
        fix = { ...result.fix, elevationM, utc };
      } else counts[result.passedOver] = (counts[result.passedOver] ?? 0) + 1;
      return fix?.elevationM !== undefined && fix.utc !== undefined ? fix : undefined;
    },
    best: (): Fix | undefined => fix,
    counts: (): Record<string, number> => counts,
  };
}
