import { cpus, loadavg } from 'node:os';

let isSaid = false;

/**
 * How much slower than by itself a program may run here and now: 1 on a machine with room, more where others want its cores.
 * Limits of time hold for a machine with room; an overloaded one gets more, and says so.
 */
export function patience(): number {
  const share = loadavg()[0] / cpus().length;
  if (share <= 1) return 1;
  if (!isSaid)
    console.log(
      `This machine is overloaded (load ${loadavg()[0].toFixed(1)} on ${cpus().length} cores): limits of time are wider.`,
    );
  isSaid = true;
  return share;
}

/**
 * What the quickest of a few tries took, each over how much slower the machine was then; no more are made once one keeps the
 * limit. Whatever else runs on a machine makes a try slower, never quicker: a program that is too slow fails them all.
 */
export async function quickest(limit: number, trial: () => Promise<number>, tries = 5): Promise<number> {
  let best = Infinity;
  for (let count = 0; count < tries && best >= limit; count += 1) best = Math.min(best, (await trial()) / patience());
  return best;
}
