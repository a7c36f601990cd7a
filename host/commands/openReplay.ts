import { csvHello } from '../capture/csvAsWire.ts';
import type { CsvOptions } from '../capture/csv/options.ts';
import type { Recording } from '../capture/recorded.ts';
import { openRecording } from '../capture/recording.ts';
import { replayCandidate } from '../capture/replayPort.ts';
import { exitCode, Failure } from '../failure.ts';
import { BoardLink } from '../link/boardLink.ts';
import { loadSite } from '../store/site.ts';
import { chooseModel, type ChosenModel } from '../live/chooseModel.ts';
import { LinkSession } from '../live/linkSession.ts';
import { place, type SessionOptions } from '../live/openSession.ts';
import type { Watched } from './runWatch.ts';
import { texts } from './words/replay.ts';

interface ReplayOptions extends Pick<SessionOptions, 'site' | 'pole' | 'calibration' | 'mount' | 'clip'> {
  file: string;
  /** As fast as it can be taken, instead of in its own time. */
  isFast: boolean;
  csv?: CsvOptions;
}

/**
 * A recording through the same link and the same estimator as a board. Throws Failure where the file does not do, or no site
 * is known; `ended` rejects with Failure where the file turns out not to be sound on the way.
 */
export async function openReplay(options: ReplayOptions): Promise<Required<Watched>> {
  const { file } = options;
  const recording = await openRecording(file, options.csv);
  const site = options.site ?? recording.site ?? (await loadSite());
  if (site === undefined) {
    throw new Failure(
      exitCode.usage,
      `${file} does not say where it was recorded.`,
      'Give --lat and --lon of that place, or save them once: lodepole site --lat 46.43 --lon -118.6 --save',
    );
  }
  const { field, target, notes } = await place(site, options.pole, when(recording));
  const hello = recording.hello ?? csvHello(recording);
  const { calibration, mount, clip } = options;
  const isAsked = [calibration, mount, clip].some((asked) => asked !== undefined);
  const kept = { calibration, mount, clip, isLogger: recording.hello === undefined };
  const chosen: ChosenModel =
    recording.axisModel && !isAsked
      ? { model: recording.axisModel, notes: [texts.modelOfRecording] }
      : await chooseModel(hello, site, field, kept);

  let fault: unknown;
  const candidate = replayCandidate(file, options.isFast, (error) => (fault = error), options.csv);
  const link = new BoardLink({ candidates: async () => [candidate], once: true });
  const ended = new Promise<void>((resolve, reject) => {
    link.onStatus(({ state, counters }) => {
      if (state !== 'lost') return;
      if (fault !== undefined) reject(fault);
      else if (counters.samples > 0) resolve();
      else reject(new Failure(exitCode.badData, `${file} holds no usable sample.`, 'Record it again.'));
    });
  });
  let boardS = 0;
  link.onSample((sample) => {
    boardS = sample.boardS;
  });
  const session = new LinkSession({
    link,
    site,
    target,
    notes: recording.startedUtcMs === undefined ? [...notes, texts.noTime] : notes,
    utcOf: recording.startedUtcMs === undefined ? undefined : clockFrom(recording.startedUtcMs),
    source: () => texts.recording(file),
    modelFor: async (answered) =>
      answered.boardId === hello.boardId ? chosen : chooseModel(answered, site, field, kept),
  });
  return { session, ended, clockS: () => boardS, start: () => link.start() };
}

const when = ({ startedUtcMs }: Recording): Date => (startedUtcMs === undefined ? new Date() : new Date(startedUtcMs));

/** UTC by the board's clock, which begins anew where the board did; how long it was away then is not known and left out. */
function clockFrom(startedUtcMs: number): (boardS: number) => number {
  let beforeS = 0;
  let lastS = 0;
  return (boardS) => {
    if (boardS < lastS) beforeS += lastS;
    lastS = boardS;
    return startedUtcMs + (beforeS + boardS) * 1000;
  };
}
