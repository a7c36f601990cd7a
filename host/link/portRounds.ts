import type { PortCandidate } from './bytePort.ts';

/** Seconds between the beginnings of two rounds. */
const retryS = 0.5;
const slowRetryS = 1;
const quickRounds = 20;
/** Within so many rounds a board that comes back may be missing or locked for a moment. */
const patientRounds = 6;

/** Which port to try next, and when: round after round over a list that is asked for anew each time. */
export class PortRounds {
  private readonly list: () => Promise<readonly PortCandidate[]>;
  private queue: PortCandidate[] = [];
  private rounds = 0;
  private nextTryS = 0;

  constructor(list: () => Promise<readonly PortCandidate[]>) {
    this.list = list;
  }

  isDue(nowS: number): boolean {
    return nowS >= this.nextTryS;
  }

  /** Every port of this round was tried. */
  get isOver(): boolean {
    return this.queue.length === 0;
  }

  get isLongSearch(): boolean {
    return this.rounds > patientRounds;
  }

  /** The next port; undefined when there is none at all. Throws what the list throws. */
  async take(nowS: number): Promise<PortCandidate | undefined> {
    if (this.isOver) {
      this.rounds += 1;
      this.nextTryS = nowS + (this.rounds > quickRounds ? slowRetryS : retryS);
      this.queue = [...(await this.list())];
    }
    return this.queue.shift();
  }

  /** The next try is not to come at once: opening a port restarts many boards. */
  pause(nowS: number): void {
    this.nextTryS = nowS + slowRetryS;
  }

  /** A new round, at once. */
  begin(): void {
    this.queue = [];
    this.rounds = 0;
    this.nextTryS = 0;
  }
}
