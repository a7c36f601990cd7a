import { cpus, loadavg } from 'node:os';

/**
 * How much slower than by itself a program may run here and now: 1 on a machine with room, more where others want its cores.
 * Limits of time hold for a machine with room; an overloaded one gets more, and says so.
 */
export function patience(): number {
  const share = loadavg()[0] / cpus().length;
  if (share <= 2) return 1;
  console.log(
    `This machine is overloaded (load ${loadavg()[0].toFixed(1)} on ${cpus().length} cores): limits of time are wider.`,
  );
  return share;
}
