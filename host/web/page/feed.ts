import type {
  HelloMessage,
  KnobsMessage,
  LinkMessage,
  NeedlesMessage,
  PushMessage,
  SheetMessage,
  TracePoint,
} from '../messages.ts';

/** A reading older than this is not a reading any more, until the host has told better. */
const leastStaleS = 1;
const hostGoneAfterS = 1.2;
const reopenAfterMs = 500;
const silentStreamS = 4;
const keptPoints = 900;
/** How fast the estimate of the shortest way from host to page forgets, for clocks that run unequally. */
const forgetPerS = 2e-4;

const nowS = (): number => performance.now() / 1000;

/** All that is known of the host, kept fresh by the live stream; survives the host's absence and finds it again. */
export class Feed {
  hello: HelloMessage | undefined;
  link: LinkMessage | undefined;
  needles: NeedlesMessage | undefined;
  knobs: KnobsMessage | undefined;
  sheet: SheetMessage | undefined;
  readonly trace: TracePoint[] = [];
  /** When the sample behind the newest needles was taken, by the page's clock. */
  private sampleS = -Infinity;
  private heardS = -Infinity;
  private openedS = -Infinity;
  private shortestWayS = Infinity;
  private shortestWayAtS = 0;
  private source: EventSource | undefined;
  private readonly listeners = new Set<(message: PushMessage) => void>();

  start(): void {
    this.open();
    setInterval(() => {
      const quietS = nowS() - Math.max(this.heardS, this.openedS);
      if (quietS > silentStreamS || this.source?.readyState === EventSource.CLOSED) this.open();
    }, reopenAfterMs);
  }

  onMessage(listener: (message: PushMessage) => void): void {
    this.listeners.add(listener);
  }

  ageS(): number {
    return nowS() - this.sampleS;
  }

  isHostGone(): boolean {
    return nowS() - this.heardS > hostGoneAfterS;
  }

  isStale(): boolean {
    return (
      !this.needles ||
      this.needles.state === 'stale' ||
      this.ageS() > (this.hello?.staleAfterS ?? leastStaleS) ||
      this.isHostGone()
    );
  }

  /** What streams is no reading of the axis. */
  isOffClip(): boolean {
    return this.needles?.isOffClip ?? false;
  }

  /** Whether the needles tell where the axis points now. */
  hasReading(): boolean {
    return !this.isStale() && !this.isOffClip();
  }

  private open(): void {
    this.source?.close();
    this.openedS = nowS();
    this.source = new EventSource('/api/live');
    this.source.onmessage = (event: MessageEvent<string>) => this.take(JSON.parse(event.data) as PushMessage);
    this.source.onopen = () => void this.fetchTrace();
    this.source.onerror = () => void this.askWhetherPaired();
  }

  private take(message: PushMessage): void {
    this.heardS = nowS();
    if (message.kind === 'needles') {
      this.needles = message;
      this.sampleS = this.heardS - message.ageS - this.delayS(message.sentS);
      this.addToTrace(message);
    } else if (message.kind === 'hello') {
      this.hello = message;
      this.shortestWayS = Infinity;
    } else if (message.kind === 'link') this.link = message;
    else if (message.kind === 'knobs') this.knobs = message;
    else if (message.kind === 'sheet') this.sheet = message;
    for (const listener of this.listeners) listener(message);
  }

  /** How much longer this message was on the way than the quickest one: queued messages are old, however fresh they look. */
  private delayS(sentS: number): number {
    const way = this.heardS - sentS;
    const forgotten = this.shortestWayS + forgetPerS * (this.heardS - this.shortestWayAtS);
    this.shortestWayS = Math.min(way, Number.isFinite(forgotten) ? forgotten : way);
    this.shortestWayAtS = this.heardS;
    return way - this.shortestWayS;
  }

  private addToTrace(needles: NeedlesMessage): void {
    if (needles.isOffClip) return;
    const last = this.trace.at(-1);
    if (last && Date.parse(needles.timeUtc) - Date.parse(last.timeUtc) < 1000) return;
    const { sigmaAltitudeErrorDeg, sigmaAzimuthErrorDeg } = needles.shown;
    this.trace.push({ ...needles, sigmaAltitudeErrorDeg, sigmaAzimuthErrorDeg });
    if (this.trace.length > keptPoints) this.trace.shift();
  }

  private async fetchTrace(): Promise<void> {
    const reply = await fetch('/api/trace').catch(() => undefined);
    if (!reply?.ok) return;
    const { points } = (await reply.json()) as { points: TracePoint[] };
    this.trace.splice(0, this.trace.length, ...points);
  }

  private async askWhetherPaired(): Promise<void> {
    const reply = await fetch('/api/now').catch(() => undefined);
    if (reply?.status === 401) location.replace('/pair');
  }
}

/** Sends a request; the answer is undefined when it was done, else what went wrong in words. */
export async function ask(path: string, body: unknown): Promise<string | undefined> {
  try {
    const reply = await fetch(path, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
    });
    if (reply.ok) return undefined;
    const refused = (await reply.json()) as { error: string; whatToDo: string };
    return `${refused.error} ${refused.whatToDo}`;
  } catch {
    return 'The host does not answer.';
  }
}
