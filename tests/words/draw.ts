/** `count` of them without repetition, by chance of a seed (mulberry32); all where there are fewer. */
export function drawn<T>(from: readonly T[], count: number, seed: number): T[] {
  const left = [...from];
  const taken: T[] = [];
  let state = seed >>> 0;
  while (taken.length < count && left.length > 0) {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    const chance = ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
    taken.push(...left.splice(Math.floor(chance * left.length), 1));
  }
  return taken;
}
