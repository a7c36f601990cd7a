import type { Gate } from '../gate.ts';

export interface Limits {
  caution: number;
  stop: number;
}

export const limits = {
  arcDeg: { caution: 100, stop: 85 },
  dwells: { caution: 6, stop: 4 },
  /** Rms of the whitened residuals of one chip. */
  scatter: { caution: 2.5, stop: 5 },
  placeSigmas: { caution: 3, stop: 8 },
  sigmaAxisArcmin: { caution: 3, stop: 60 },
  sigmaAzimuthDeg: { caution: 1, stop: 3 },
} satisfies Record<string, Limits>;

/** Chi-squared per degree of freedom at which the rests have no common axis. */
export const fitNoAxis = ({ misfit }: { misfit: number }): boolean => Math.sqrt(misfit) > limits.scatter.stop;

export const atMost = (value: number, { caution, stop }: Limits): Pick<Gate, 'verdict' | 'value' | 'limit'> =>
  !(value <= stop)
    ? { verdict: 'stop', value, limit: stop }
    : { verdict: value > caution ? 'caution' : 'ok', value, limit: caution };
