/** The verdict on one check of a measurement: shown everywhere with its number, never "failed" alone. */
export interface Gate {
  verdict: 'ok' | 'caution' | 'stop';
  /** What was checked, in the trade's words. */
  reason: string;
  value: number;
  limit: number;
  unit: string;
  /** Value and limit are one standard deviation; people are told both as give or take, which is twice that. */
  isSigma?: true;
  /** What to do next, as an instruction. */
  nextAction: string;
}

/** The gate that decides: the first stop, else the first caution, else undefined. */
export const decisive = (gates: readonly Gate[]): Gate | undefined =>
  gates.find((gate) => gate.verdict === 'stop') ?? gates.find((gate) => gate.verdict === 'caution');
