import type { VirtualBoard } from './board.ts';
import type { World } from './world.ts';

interface Pace {
  tickMs: number;
  /** A stalled process lets the board's time slip, instead of catching up for ever. */
  longestCatchUpS: number;
}

/** A virtual board that is stepped, by its caller or by the wall clock. */
export abstract class SteppedBoard implements VirtualBoard {
  abstract readonly world: World;
  /** World time that the board has reached, seconds. */
  abstract readonly nowS: number;
  private readonly pace: Pace;
  private readonly listeners = new Set<(bytes: Uint8Array) => void>();
  private timer: NodeJS.Timeout | undefined;

  protected constructor(pace: Pace) {
    this.pace = pace;
  }

  abstract write(bytes: Uint8Array): void;
  /** Runs to `worldS` as fast as it can, and sends what the board sends meanwhile. */
  abstract stepTo(worldS: number): void;

  onBytes(listener: (bytes: Uint8Array) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  start(): void {
    if (this.timer) return;
    let epochS = performance.now() / 1000 - this.nowS;
    this.timer = setInterval(() => {
      const dueS = performance.now() / 1000 - epochS;
      const targetS = Math.min(dueS, this.nowS + this.pace.longestCatchUpS);
      epochS += dueS - targetS;
      this.stepTo(targetS);
    }, this.pace.tickMs);
  }

  close(): Promise<void> {
    clearInterval(this.timer);
    this.timer = undefined;
    this.listeners.clear();
    return Promise.resolve();
  }

  protected send(bytes: Uint8Array): void {
    if (bytes.length === 0) return;
    for (const listener of this.listeners) listener(bytes);
  }
}
