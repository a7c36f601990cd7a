export interface LinkStatus {
  state: 'searching' | 'opening' | 'waiting' | 'streaming' | 'silent' | 'lost' | 'refused';
  /** One sentence in words: what happened and what to do. */
  words: string;
  /** Counters by name: good lines, bad CRC, torn, lost, repeated, foreign, over-long ... */
  counters: Readonly<Record<string, number>>;
}
