import type { World } from './world.ts';

/** What a chip would hold in its output registers at one instant, in the chip's own axes. */
export interface RawCounts {
  accel: [number, number, number];
  field: [number, number, number];
  /** Only from a make of board with a gyro. */
  rate?: [number, number, number];
  temperature: number;
}

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
