import { encodeRequest, textOf, type Hello, type Request } from '../../firmware-proto/wire.ts';
import { Failure } from '../failure.ts';
import type { BoardSample } from './boardSample.ts';
import type { LinkStatus } from './linkStatus.ts';
import type { BytePort, PortCandidate } from './bytePort.ts';
import { CappedLines } from './cappedLines.ts';
import { LineIntake, type BoardReply } from './lineIntake.ts';
import { Listeners } from './listeners.ts';
import { PortRounds } from './portRounds.ts';
import { heardNow, kindOfSilence, wordsForSilence, type Heard } from './silence.ts';

/** Seconds. Opening a port resets many boards, and their boot loader takes up to two seconds. */
const openingGraceS = 3;
const helloEveryS = 0.5;
const leastWatchdogS = 1;
const watchdogPeriods = 5;
const selfTestPatienceS = 8;
const tickMs = 100;

interface BoardLinkOptions {
  /** Ports to try, best first; asked anew for every round. May throw Failure. */
  candidates: () => Promise<readonly PortCandidate[]>;
  /** For a recording: its end is the end of the link. */
  once?: boolean;
  /** Told which port answered, at every hello. */
  onAnswer?: (candidate: PortCandidate, hello: Hello) => void;
}

const nowS = (): number => performance.now() / 1000;

/**
 * Keeps a way open to the first board that answers hello: finds it, watches it, and finds it again. One state machine and one
 * timer; every try takes a new port object and a new line cutter.
 */
export class BoardLink {
  /** True at the first hello; false when every port of the first round was tried in vain. */
  readonly firstRound: Promise<boolean>;
  private readonly options: BoardLinkOptions;
  private readonly samples = new Listeners<BoardSample>();
  private readonly statuses = new Listeners<LinkStatus>();
  private readonly hellos = new Listeners<Hello>();
  private readonly replies = new Listeners<BoardReply>();
  private readonly soundLines = new Listeners<{ line: string; arrivalS: number }>();
  private readonly intake: LineIntake;
  private settleFirstRound: (answered: boolean) => void = () => {};
  private timer: NodeJS.Timeout | undefined;
  private current: LinkStatus;
  private candidate: PortCandidate | undefined;
  private port: BytePort | undefined;
  private lines: CappedLines | undefined;
  private lastBoardId: string | undefined;
  private readonly rounds: PortRounds;
  private isBusy = false;
  private isClosed = false;
  private openedS = 0;
  private helloAskedS = 0;
  private chunkArrivalS = 0;
  private lastSoundS = 0;
  /** `lastSoundS` as a pause of this process has moved it. */
  private grantedS = NaN;
  private lastTickS = 0;
  private patientUntilS = 0;
  private bytes = 0;
  private heard: Heard;
  /** Set from the first trouble until a board streams again: tries in between are not announced. */
  private isTroubled = false;

  constructor(options: BoardLinkOptions) {
    this.options = options;
    this.rounds = new PortRounds(options.candidates);
    this.firstRound = new Promise((resolve) => {
      this.settleFirstRound = resolve;
    });
    this.intake = new LineIntake({
      onSample: (sample) => {
        if (this.current.state !== 'streaming') this.startStreaming();
        this.samples.emit(sample);
      },
      onHello: (hello) => {
        if (this.candidate !== undefined) this.options.onAnswer?.(this.candidate, hello);
        this.settleFirstRound(true);
        this.hellos.emit(hello);
      },
      onReply: (reply) => this.replies.emit(reply),
      onSoundLine: (line, length, arrivalS) => {
        this.lastSoundS = arrivalS;
        if (this.soundLines.count > 0) this.soundLines.emit({ line: textOf(line.subarray(0, length)), arrivalS });
      },
    });
    this.heard = heardNow(0, this.intake.counters);
    this.current = { state: 'searching', words: 'Looking for a board.', counters: this.intake.counters };
  }

  start(): void {
    if (this.timer !== undefined || this.isClosed) return;
    this.lastTickS = nowS();
    this.timer = setInterval(() => this.tick(), tickMs);
    this.tick();
  }

  /** Each `on...` returns the function that ends the registration. */
  onSample(listener: (sample: BoardSample) => void): () => void {
    return this.samples.add(listener);
  }
  onStatus(listener: (status: LinkStatus) => void): () => void {
    return this.statuses.add(listener);
  }
  onHello(listener: (hello: Hello) => void): () => void {
    return this.hellos.add(listener);
  }
  /** Events, rows of the self-test, and answers to requests. */
  onReply(listener: (reply: BoardReply) => void): () => void {
    return this.replies.add(listener);
  }
  /** Every sound line as it came, for recording. */
  onSoundLine(listener: (heard: { line: string; arrivalS: number }) => void): () => void {
    return this.soundLines.add(listener);
  }

  status(): LinkStatus {
    return this.current;
  }

  /** The hello that the samples are scaled by; undefined before the first. */
  hello(): Hello | undefined {
    return this.intake.hello;
  }

  /** Name of the port that is in use, or was last. */
  portName(): string | undefined {
    return this.candidate?.name;
  }

  /** In words, e.g. "board 3F2A91C4 on /dev/ttyUSB0". */
  source(): string {
    const board = this.intake.hello === undefined ? 'no board yet' : `board ${this.intake.hello.boardId}`;
    return this.candidate === undefined ? board : `${board} on ${this.candidate.name}`;
  }

  /** Sent at once where a port is open, otherwise dropped. */
  send(request: Request): void {
    if (request.request === 'selftest') this.patientUntilS = nowS() + selfTestPatienceS;
    this.port?.write(encodeRequest(request));
  }

  /** Ends within half a second. */
  async close(): Promise<void> {
    this.isClosed = true;
    clearInterval(this.timer);
    this.settleFirstRound(false);
    await this.dropPort();
    for (const listeners of [this.samples, this.statuses, this.hellos, this.replies, this.soundLines])
      listeners.clear();
  }

  private announce(state: LinkStatus['state'], words: string): void {
    if (state === this.current.state && words === this.current.words) return;
    this.current = { state, words, counters: this.intake.counters };
    this.statuses.emit(this.current);
  }

  private announceTry(state: 'searching' | 'opening' | 'waiting', words: string): void {
    if (!this.isTroubled) this.announce(state, words);
  }

  private announceTrouble(state: 'searching' | 'silent' | 'lost' | 'refused', words: string): void {
    this.isTroubled = true;
    this.announce(state, words);
  }

  private tick(): void {
    const now = nowS();
    // After a pause of this very process (a long computation, a laptop that slept) bytes wait unread: give them a chance, once.
    if (now - this.lastTickS > leastWatchdogS / 2 && this.lastSoundS !== this.grantedS) {
      this.lastSoundS = Math.max(this.lastSoundS, now - leastWatchdogS / 2);
      this.grantedS = this.lastSoundS;
    }
    this.lastTickS = now;
    if (this.port === undefined) {
      if (!this.isBusy && this.rounds.isDue(now)) void this.tryNext();
    } else if (this.current.state === 'streaming') {
      this.watch(now);
    } else {
      this.await(now);
    }
  }

  private watch(now: number): void {
    const limitS = Math.max(leastWatchdogS, watchdogPeriods / (this.intake.hello?.sampleHz ?? 1));
    if (this.intake.otherProtocol !== undefined || this.intake.hello === undefined) {
      this.giveUp('refused', 'otherProtocol');
    } else if (now - this.lastSoundS > limitS && now > this.patientUntilS && !this.options.once) {
      const kind = kindOfSilence(this.heard, heardNow(this.bytes, this.intake.counters), this.intake);
      const name = this.candidate?.name ?? 'the port';
      const words =
        kind === 'nothing' || kind === 'noHello'
          ? `The stream from ${name} stopped. Looking for the board again; check the cable.`
          : wordsForSilence(kind, name, this.intake);
      this.intake.counters.portsLost += 1;
      this.announceTrouble('silent', words);
      this.retryAtOnce();
    } else if (now - this.lastSoundS < limitS / 2) {
      this.heard = heardNow(this.bytes, this.intake.counters);
    }
  }

  private await(now: number): void {
    if (this.intake.otherProtocol !== undefined) {
      this.giveUp('refused', 'otherProtocol');
    } else if (now - this.openedS > openingGraceS) {
      this.giveUp('silent', kindOfSilence(this.heard, heardNow(this.bytes, this.intake.counters), this.intake));
    } else if (this.intake.hello === undefined && now - this.helloAskedS >= helloEveryS) {
      this.askHello(now);
    }
  }

  private askHello(now: number): void {
    this.helloAskedS = now;
    this.send({ request: 'hello' });
  }

  private giveUp(state: 'silent' | 'refused', kind: Parameters<typeof wordsForSilence>[0]): void {
    this.announceTrouble(state, wordsForSilence(kind, this.candidate?.name ?? 'the port', this.intake));
    this.rounds.pause(nowS());
    if (this.rounds.isOver) this.settleFirstRound(false);
    void this.dropPort();
  }

  private retryAtOnce(): void {
    this.rounds.begin();
    void this.dropPort();
  }

  private startStreaming(): void {
    this.isTroubled = false;
    this.rounds.begin();
    const boardId = this.intake.hello?.boardId;
    const isOther = this.lastBoardId !== undefined && this.lastBoardId !== boardId;
    const note = isOther ? ` This is another board than before (${this.lastBoardId}).` : '';
    this.lastBoardId = boardId;
    this.announce('streaming', `Reading ${this.source()}.${note}`);
  }

  /** Opens the next port of this round; a round begins with a new list. */
  private async tryNext(): Promise<void> {
    this.isBusy = true;
    try {
      const candidate = await this.rounds.take(nowS());
      if (this.isClosed) return;
      if (candidate === undefined) {
        this.announceTry('searching', 'No board found. Plug one in; charge-only cables do not work.');
        return;
      }
      this.announceTry('opening', `Opening ${candidate.name}.`);
      const port = await candidate.open();
      if (this.isClosed) await port.close();
      else this.attach(candidate, port);
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      const isComingBack = this.current.state === 'lost' || this.current.state === 'silent';
      if (!isComingBack || this.rounds.isLongSearch) {
        this.announceTrouble('refused', `${error.message} ${error.whatToDo}`);
      }
    } finally {
      this.isBusy = false;
      if (this.port === undefined && this.rounds.isOver) this.settleFirstRound(false);
    }
  }

  private attach(candidate: PortCandidate, port: BytePort): void {
    const now = nowS();
    this.candidate = candidate;
    this.port = port;
    this.intake.restart();
    this.heard = heardNow(this.bytes, this.intake.counters);
    this.openedS = now;
    this.lastSoundS = now;
    const lines = new CappedLines((line, length) => this.intake.take(line, length, this.chunkArrivalS));
    this.lines = lines;
    const wait = this.options.once
      ? `Playing ${candidate.name}.`
      : `Waiting for a board on ${candidate.name} to answer.`;
    this.announceTry('waiting', wait);
    port.onClose((reason) => {
      if (this.port === port) this.farEndGone(candidate, reason);
    });
    port.onBytes((bytes) => {
      if (this.port !== port) return;
      this.bytes += bytes.length;
      this.chunkArrivalS = nowS();
      lines.push(bytes);
    });
    this.askHello(now);
  }

  private farEndGone(candidate: PortCandidate, reason: string): void {
    if (this.options.once) {
      clearInterval(this.timer);
      this.announce('lost', `${candidate.name}: ${reason}.`);
      void this.dropPort();
      return;
    }
    this.intake.counters.portsLost += 1;
    this.announceTrouble('lost', `${candidate.name} went away. Plug the board in again: Lodepole finds it by itself.`);
    this.retryAtOnce();
  }

  private async dropPort(): Promise<void> {
    const { port, lines } = this;
    this.port = undefined;
    this.lines = undefined;
    lines?.close();
    await port?.close();
  }
}
