import { createReadStream } from 'node:fs';
import { z } from 'zod';
import type { AxisModel } from '../../calibration/axisModel.ts';
import { decodeLine, type Hello } from '../../firmware-proto/wire.ts';
import { exitCode, Failure } from '../failure.ts';
import { readFault } from '../fileFault.ts';
import { schemaWords } from '../schemaFault.ts';
import { LineIntake } from '../link/lineIntake.ts';
import type { BoardSample } from '../link/boardSample.ts';
import type { Site } from '../site/site.ts';
import { fromSavedSite, savedSite } from '../store/site.ts';
import { axisModelFromFile } from '../store/axisModelFile.ts';
import { capturedModel } from './capturedModel.ts';
import type { RecordedSample, Recording } from './recorded.ts';

const maxTextLine = 4096;

/** One line of a capture: a wire line with its arrival, or the mark that a port was opened anew. */
type CaptureLine = { arrivalS: number; line: string } | 'portOpened';

/** Lines of a text file, UTF-8; what is longer than 4 kB is cut, so that memory stays bounded. */
async function* textLines(path: string): AsyncGenerator<string> {
  let rest = '';
  try {
    for await (const chunk of createReadStream(path, 'utf8') as AsyncIterable<string>) {
      const lines = (rest + chunk).split('\n');
      rest = (lines.pop() as string).slice(0, maxTextLine);
      for (const line of lines) yield line.replace(/\r$/, '');
    }
  } catch (error) {
    throw readFault(path, error);
  }
  if (rest !== '') yield rest;
}

/** The lines of a capture as they came, the hello of its head first. Lines that are not of the format are skipped. */
export async function* captureLines(path: string): AsyncGenerator<CaptureLine> {
  for await (const text of textLines(path)) {
    if (text.startsWith('# port opened')) yield 'portOpened';
    else if (text.startsWith('# hello ')) yield { arrivalS: 0, line: text.slice('# hello '.length) };
    else {
      const space = text.indexOf(' ');
      const arrivalS = Number(text.slice(0, space));
      if (space > 0 && Number.isFinite(arrivalS)) yield { arrivalS, line: text.slice(space + 1) };
    }
  }
}

function helloIn(head: string): Hello | undefined {
  for (const line of head.split('\n')) {
    const at = line.indexOf('H proto=');
    const decoded = at < 0 ? undefined : decodeLine(line.slice(at));
    if (decoded?.kind === 'hello') return decoded;
  }
  return undefined;
}

/** What a `# name` line of the head holds, checked. Throws Failure when it is not sound. */
function keptIn<T>(path: string, head: string, name: 'site' | 'model', schema: z.ZodType<T>): T | undefined {
  const text = new RegExp(`^# ${name} (.+)$`, 'm').exec(head)?.[1];
  if (text === undefined) return undefined;
  try {
    return schema.parse(JSON.parse(text));
  } catch (error) {
    const why = error instanceof z.ZodError ? schemaWords(error) : 'it is incomplete or not JSON';
    throw new Failure(
      exitCode.badData,
      `${path}: the ${name} in its header is not valid: ${why}`,
      `Correct the "# ${name}" line, or delete it and name ${name === 'site' ? 'the site' : 'a calibration'} yourself.`,
    );
  }
}

function siteIn(path: string, head: string): Site | undefined {
  const kept = keptIn(path, head, 'site', savedSite);
  return kept && fromSavedSite(kept);
}

function modelIn(path: string, head: string): AxisModel | undefined {
  const kept = keptIn(path, head, 'model', capturedModel);
  return kept && axisModelFromFile(kept);
}

function startedIn(head: string): number | undefined {
  const startedUtcMs = Date.parse(/^# started (\S+)\s*$/m.exec(head)?.[1] ?? '');
  return Number.isNaN(startedUtcMs) ? undefined : startedUtcMs;
}

/** Opens a capture whose first 64 kB are `head`. Throws Failure when there is no hello in it. */
export function openCapture(path: string, head: string): Recording {
  const hello = helloIn(head);
  if (hello === undefined) {
    throw new Failure(
      exitCode.badData,
      `${path} does not hold the board's identification, so the scale of its samples is not known.`,
      'Record again and wait until the needles move, or copy the "# hello" line of another capture of the same board into its header.',
    );
  }
  const counters: Record<string, number> = {};
  return {
    kind: 'capture',
    path,
    hello,
    site: siteIn(path, head),
    axisModel: modelIn(path, head),
    startedUtcMs: startedIn(head),
    has: {
      accelerometer: true,
      magnetometer: true,
      gyro: hello.gyro !== undefined,
      temperature: hello.temperature.cPerCount !== 0,
      time: true,
    },
    scaleKnown: true,
    rawScale: { accelerometer: false, magnetometer: false },
    samples: { [Symbol.asyncIterator]: () => readSamples(path, counters) },
    counters,
    warnings: [],
    notes: [],
  };
}

/** Damaged lines are counted and skipped, as they are on the wire: a capture may end in a torn one. */
async function* readSamples(path: string, counters: Record<string, number>): AsyncGenerator<RecordedSample> {
  let sample: BoardSample | undefined;
  const intake = new LineIntake({
    onSample: (next) => {
      sample = next;
    },
    onHello: () => {},
    onReply: () => {},
    onSoundLine: () => {},
  });
  let hello: string | undefined;
  for await (const next of captureLines(path)) {
    if (next === 'portOpened') {
      // The hello of the new port stands before this mark.
      intake.restart();
      if (hello !== undefined) intake.takeText(hello, 0);
      continue;
    }
    if (next.line.startsWith('H ')) hello = next.line;
    sample = undefined;
    intake.takeText(next.line, next.arrivalS);
    if (sample === undefined) continue;
    const { boardS: timeS, accelG, fieldNt, rateDps, temperatureC } = sample as BoardSample;
    yield { timeS, accelG, fieldNt, rateDps, temperatureC };
  }
  Object.assign(counters, intake.counters);
  if (intake.counters.samples === 0) {
    throw new Failure(exitCode.badData, `${path} holds no usable sample.`, 'Record it again.');
  }
}
