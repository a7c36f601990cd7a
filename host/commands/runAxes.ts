import { createInterface } from 'node:readline';
import { setTimeout as sleep } from 'node:timers/promises';
import { add, norm, scale, subtract, type Vector3 } from '../../calibration/vector.ts';
import type { Request } from '../../firmware-proto/wire.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { BoardLink } from '../link/boardLink.ts';
import type { BoardSample } from '../link/boardSample.ts';
import type { PortCandidate } from '../link/bytePort.ts';
import { boardCandidates } from '../link/ports.ts';
import { serialCandidate } from '../link/serialPort.ts';
import { printJson, printResult, say } from '../output.ts';
import {
  accelerometerAxes,
  axesPoses,
  magnetometerAxes,
  type AxesVerdict,
  type PoseReading,
} from '../steps/boardAxes.ts';
import { loadSite } from '../store/site.ts';
import { texts } from './words/board.ts';

interface AxesOptions {
  port?: string;
  json?: boolean;
}

/** Where boards are looked for, and where the person types; otherwise than at the terminal in tests only. */
interface AxesSurroundings {
  candidates: () => Promise<PortCandidate[]>;
  typed: NodeJS.ReadableStream;
}

const samplesOfPose = 60;
const patienceS = 15;
/** The press of the key shakes the board, and older readings may still be on their way. */
const settleS = 0.7;
/** How far gravity may move in a hand that holds still, g. */
const stillG = 0.2;
const answerPatienceS = 3;

/** Leads a person through five poses, says how the chips sit, and sets the board to it. Returns the exit code. */
export async function runAxes({ port, json }: AxesOptions, around?: AxesSurroundings): Promise<ExitCode> {
  const site = await loadSite();
  const hemisphere = site === undefined ? undefined : site.latitudeRad < 0 ? 'south' : 'north';
  const link = new BoardLink({
    candidates: around?.candidates ?? (port === undefined ? boardCandidates : async () => [serialCandidate(port)]),
  });
  try {
    link.start();
    if (!(await link.firstRound))
      throw new Failure(exitCode.noBoard, link.status().words, 'Plug the board in and repeat.');
    const hello = link.hello();
    if (hello === undefined) throw new Failure(exitCode.noBoard, link.status().words, 'Plug the board in and repeat.');
    link.send({ request: 'blink' });
    say(texts.blinks(link.source()));
    const readings = await readPoses(link, around?.typed ?? process.stdin);
    if (readings === undefined) return exitCode.interrupted;
    const verdicts = {
      accelerometer: accelerometerAxes(readings, hello.accelerometer.orientation),
      magnetometer: magnetometerAxes(readings, hello.magnetometer.orientation, hemisphere),
    };
    const kept = await setTurned(link, verdicts);
    const isRight = Object.values(verdicts).every(
      ({ state }) => state === 'right' || (state === 'turned' && kept === 'kept'),
    );
    if (json) {
      printJson({
        accepted: isRight,
        accelerometer: verdicts.accelerometer,
        magnetometer: verdicts.magnetometer,
        kept,
      });
    } else {
      for (const { words } of Object.values(verdicts)) printResult(words);
      if (kept !== undefined) printResult(wordsOfKeeping[kept]);
    }
    return isRight ? exitCode.done : exitCode.refused;
  } finally {
    await link.close();
  }
}

const wordsOfKeeping = {
  kept: texts.keepsAxes,
  lost: texts.setForNow,
  old: texts.olderProgram,
} as const;

async function setTurned(
  link: BoardLink,
  verdicts: Record<'accelerometer' | 'magnetometer', AxesVerdict>,
): Promise<keyof typeof wordsOfKeeping | undefined> {
  const { accelerometer, magnetometer } = verdicts;
  if ([accelerometer, magnetometer].some(({ state }) => state === 'mirrored' || state === 'unclear')) return undefined;
  const requests: Request[] = [];
  if (accelerometer.orientation) requests.push({ request: 'accdir', orientation: accelerometer.orientation });
  if (magnetometer.orientation) requests.push({ request: 'magdir', orientation: magnetometer.orientation });
  if (requests.length === 0) return undefined;
  for (const request of requests) if ((await ask(link, request)) !== 'acknowledged') return 'old';
  return (await ask(link, { request: 'keep' })) === 'acknowledged' ? 'kept' : 'lost';
}

async function ask(link: BoardLink, request: Request): Promise<'acknowledged' | 'refused' | undefined> {
  let answer: 'acknowledged' | 'refused' | undefined;
  const end = link.onReply((reply) => {
    if ((reply.kind === 'acknowledged' || reply.kind === 'refused') && reply.request === request.request)
      answer = reply.kind;
  });
  link.send(request);
  const deadline = performance.now() + answerPatienceS * 1000;
  while (answer === undefined && performance.now() < deadline) await sleep(20);
  end();
  return answer;
}

/** Undefined when the person ends it. */
async function readPoses(link: BoardLink, typedText: NodeJS.ReadableStream): Promise<PoseReading[] | undefined> {
  const readings: PoseReading[] = [];
  const lines = createInterface({ input: typedText });
  const typed = lines[Symbol.asyncIterator]();
  try {
    while (readings.length < axesPoses.length) {
      say(texts.pose(readings.length + 1, axesPoses.length, axesPoses[readings.length]));
      const { done, value } = (await typed.next()) as IteratorResult<string, undefined>;
      if (done || value.trim() === 'q') return undefined;
      const reading = await meanOfPose(link);
      if (reading === undefined) say(texts.movedOrSilent);
      else readings.push(reading);
    }
    return readings;
  } finally {
    lines.close();
  }
}

async function meanOfPose(link: BoardLink): Promise<PoseReading | undefined> {
  const samples: BoardSample[] = [];
  let firstS: number | undefined;
  const end = link.onSample((sample) => {
    firstS ??= sample.boardS;
    if (sample.boardS - firstS < settleS) return;
    samples.push({ ...sample, accelG: [...sample.accelG], fieldNt: [...sample.fieldNt] });
  });
  const deadline = performance.now() + patienceS * 1000;
  while (samples.length < samplesOfPose && performance.now() < deadline) await sleep(20);
  end();
  if (samples.length < samplesOfPose) return undefined;
  const mean = (of: (sample: BoardSample) => Vector3): Vector3 =>
    scale(samples.map(of).reduce(add), 1 / samples.length);
  const accelG = mean((sample) => sample.accelG);
  const farthest = Math.max(...samples.map((sample) => norm(subtract(sample.accelG, accelG))));
  return farthest > stillG ? undefined : { accelG, fieldNt: mean((sample) => sample.fieldNt) };
}
