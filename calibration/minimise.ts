interface Corner {
  at: number[];
  value: number;
}

/**
 * Smallest value of `f` near `start` by the simplex of Nelder and Mead (1965, Computer Journal 7), without derivatives: for a few
 * unknowns of like size. Ends when the corners' values lie within `tolerance` or after about `mostCalls`.
 */
export function minimise(
  f: (x: readonly number[]) => number,
  start: readonly number[],
  { size, tolerance, mostCalls }: { size: number; tolerance: number; mostCalls: number },
): readonly number[] {
  const n = start.length;
  let calls = 0;
  const corner = (at: number[]): Corner => {
    calls += 1;
    return { at, value: f(at) };
  };
  let corners = Array.from({ length: n + 1 }, (_, i) =>
    corner(start.map((value, j) => (j === i - 1 ? value + size : value))),
  );
  const sort = (): Corner[] => corners.sort((a, b) => a.value - b.value);
  for (;;) {
    const [best] = sort();
    const worst = corners[n];
    if (worst.value - best.value < tolerance || calls >= mostCalls) return best.at;
    const middle = start.map((_, j) => corners.slice(0, n).reduce((sum, { at }) => sum + at[j] / n, 0));
    const along = (times: number): Corner => corner(middle.map((value, j) => value + times * (worst.at[j] - value)));
    const reflected = along(-1);
    let next: Corner | undefined = reflected;
    if (reflected.value < best.value) {
      const expanded = along(-2);
      if (expanded.value < reflected.value) next = expanded;
    } else if (reflected.value >= corners[n - 1].value) {
      next = along(reflected.value < worst.value ? -0.5 : 0.5);
      if (next.value >= Math.min(reflected.value, worst.value)) next = undefined;
    }
    if (next) corners[n] = next;
    else
      corners = corners.map((old) => (old === best ? old : corner(old.at.map((value, j) => (value + best.at[j]) / 2))));
  }
}
