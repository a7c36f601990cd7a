import { eepromOf } from '../../firmware-proto/virtual/boardNumber.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import { createWorld, type VirtualWorld } from '../../firmware-proto/virtual/world.ts';
import { collect } from '../../firmware-proto/virtual/worldSamples.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { BoardLink } from '../link/boardLink.ts';
import { virtualCandidate } from '../link/virtualPort.ts';
import { printJson, printResult, say } from '../output.ts';
import { sceneNamed } from '../sceneNamed.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { truthWords } from '../words/truth.ts';
import { inDeg, rounded } from '../words/figures.ts';
import { swingSite } from '../site/swingSite.ts';
import type { Act, WholeFlow } from '../practice/flow.ts';
import { wholeFlow } from '../practice/wholeFlow.ts';
import { texts } from './words/rehearse.ts';

export interface RehearseOptions {
  scene: string;
  seed: number;
  /** As fast as it goes, without the emulated processor. */
  fast?: boolean;
  json?: boolean;
}

/** Iron in the tripod that the spacer is for. */
const tripodIronNt = 3000;
const sampleHz = 50;

/** The `rehearse` command: a whole evening with virtual hands, in about two minutes. */
export async function runRehearse(options: RehearseOptions): Promise<ExitCode> {
  const date = new Date();
  const world = createWorld(sceneNamed(options.scene), { seed: options.seed, date, tripodIronNt });
  const tell = (line: string): void => {
    if (options.json) say(wrapped(line, process.stderr));
    else printResult(wrapped(line, process.stdout));
  };
  tell(world.scene.words);
  tell(texts.simulated);
  const { act, close } = options.fast ? stepped(world) : await inRealTime(world, options.seed);
  try {
    const site = swingSite(world.scene.place, date);
    const flow = await wholeFlow({ act, site, tell, useModel: () => {} });
    tell(truthWords(world.truth()));
    if (options.json) printJson(rehearsalJson(flow, world));
    return exitCode.done;
  } finally {
    await close();
  }
}

interface Driven {
  act: Act;
  close: () => Promise<void>;
}

/** Samples straight from the world, its time running as fast as it can. */
export const stepped = (world: VirtualWorld): Driven => ({
  act: async (gesture, onSample) => {
    gesture(world.hands);
    for (const { timeS, ...sample } of collect(world, world.hands.rest(1 / sampleHz), sampleHz)) {
      onSample({ ...sample, boardS: timeS });
    }
  },
  close: async () => {},
});

/** The real image on the emulated processor, paced to real time, through the link. */
async function inRealTime(world: VirtualWorld, seed: number): Promise<Driven> {
  const board = new ImageBoard(world, { seed, eeprom: eepromOf(world) });
  const link = new BoardLink({ candidates: async () => [virtualCandidate(texts.virtualBoard, board)] });
  link.start();
  const close = async (): Promise<void> => {
    await link.close();
    await board.close();
  };
  if (!(await link.firstRound)) {
    await close();
    throw new Failure(exitCode.noBoard, 'The virtual board does not answer.', link.status().words);
  }
  return {
    act: async (gesture, onSample) => {
      const stop = link.onSample(onSample);
      gesture(world.hands);
      await world.hands.whenDone();
      stop();
    },
    close,
  };
}

function rehearsalJson(
  { swing, standoff, first, locked, lock, knobs }: WholeFlow,
  world: VirtualWorld,
): Record<string, unknown> {
  const truth = world.truth();
  return {
    kind: 'rehearsal',
    scene: world.scene.name,
    seed: world.seed,
    firstAltitudeErrorDeg: inDeg(first.errors.altitudeErrorRad),
    firstAzimuthErrorDeg: inDeg(first.errors.azimuthErrorRad),
    altitudeErrorDeg: inDeg(locked.errors.altitudeErrorRad),
    azimuthErrorDeg: inDeg(locked.errors.azimuthErrorRad),
    distanceDeg: inDeg(locked.errors.distanceRad),
    sigmaAltitudeErrorDeg: inDeg(locked.sigmaAltitudeErrorRad),
    sigmaAzimuthErrorDeg: inDeg(locked.sigmaAzimuthErrorRad),
    axisInBoard: swing.axisInBoard.map((part) => rounded(part, 6)),
    deviationDeg: inDeg(standoff.deviationRad),
    sigmaDeviationDeg: inDeg(standoff.sigmaDeviationRad),
    lockAltitudeShiftDeg: inDeg(lock.altitudeShiftRad),
    lockAzimuthShiftDeg: inDeg(lock.azimuthShiftRad),
    altitudeDegPerTurn: inDeg(knobs.altitude.radPerTurn),
    azimuthDegPerTurn: inDeg(knobs.azimuth.radPerTurn),
    truth: {
      altitudeErrorDeg: inDeg(truth.altitudeErrorRad),
      azimuthErrorDeg: inDeg(truth.azimuthErrorRad),
      distanceDeg: inDeg(truth.distanceRad),
    },
  };
}
