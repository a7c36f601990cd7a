import type { World } from './world.ts';

/** A board that is not there: the same bytes as a real one, from the world around it. */
export interface VirtualBoard {
  readonly world: World;
  /** Returns a function that unsubscribes. */
  onBytes(listener: (bytes: Uint8Array) => void): () => void;
  write(bytes: Uint8Array): void;
  /** Powers up; bytes flow from then on, paced to real time. */
  start(): void;
  close(): Promise<void>;
}
