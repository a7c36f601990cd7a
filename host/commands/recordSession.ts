import { CaptureWriter } from '../capture/captureWriter.ts';
import type { LiveSession } from '../live/session.ts';
import { say } from '../output.ts';
import { texts } from './words/watch.ts';

/** The model of a capture is looked for this often, until a board has answered. */
const lookForModelMs = 50;

interface Recorder {
  /** May be called again. */
  close(): Promise<void>;
  /** Something is missing at its end, as on a full disk. */
  isCutOff(): boolean;
}

/** Keeps every sound line in a new capture file; the needles never wait for the disk. Throws Failure when it cannot begin. */
export async function recordSession(session: LiveSession, path: string): Promise<Recorder> {
  const head = { source: session.source, hello: session.hello(), site: session.site, startedUtcMs: Date.now() };
  const writer = await CaptureWriter.create(path, head, say);
  const stopLines = session.onSoundLine((heard) => writer.keep(heard));
  const stopLink = session.onLink(({ state }) => {
    if (state === 'streaming') writer.portOpened();
  });
  const timer = setInterval(() => {
    const model = session.axisModel();
    if (!model) return;
    writer.keepModel(model);
    clearInterval(timer);
  }, lookForModelMs);
  let closed: Promise<void> | undefined;
  const close = async (): Promise<void> => {
    clearInterval(timer);
    stopLines?.();
    stopLink();
    await writer.close();
    say(writer.isCutOff ? texts.recordingCutOff(path) : texts.recorded(writer.lines, path));
  };
  return { close: () => (closed ??= close()), isCutOff: () => writer.isCutOff };
}
