import { exitCode, Failure } from '../failure.ts';
import { readSentence, type Fix } from './nmea.ts';

const usualSpeed = 4800;

/**
 * Waits for a position with elevation (GGA) and a date (RMC) on a serial port, and returns what came within `limitS`.
 * Throws Failure when the port cannot be opened or no valid position comes.
 */
export async function fixFromPort(path: string, baudRate = usualSpeed, limitS = 20): Promise<Fix> {
  const { SerialPort } = await import('serialport');
  const port = new SerialPort({ path, baudRate, autoOpen: false });
  try {
    return await new Promise<Fix>((resolve, reject) => {
      const collector = fixCollector();
      const timer = setTimeout(() => {
        const partial = collector.best();
        if (partial) resolve(partial);
        else reject(noFix(path, limitS, collector.counts()));
      }, limitS * 1000);
      const stop = (error: Error | null | undefined) => {
        clearTimeout(timer);
        if (error) {
          reject(
            new Failure(
              exitCode.inputOutput,
              `The receiver's port ${path} cannot be read: ${error.message}`,
              'Check the name with "lodepole board", and that nothing else holds it.',
              { cause: error },
            ),
          );
        }
      };
      port.on('error', stop);
      port.on('close', stop);
      port.on('data', (chunk: Buffer) => {
        const fix = collector.offer(chunk.toString('latin1'));
        if (!fix) return;
        clearTimeout(timer);
        resolve(fix);
      });
      port.open((error) => error && stop(error));
    });
  } finally {
    if (port.isOpen) port.close();
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
