import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';

const root = fileURLToPath(new URL('../../', import.meta.url));

/** Every source of the program with the sources it imports, types included, as paths from the root. */
function importsOfSources(): Map<string, string[]> {
  const files = ['host', 'calibration', 'firmware-proto'].flatMap((room) =>
    readdirSync(join(root, room), { recursive: true, encoding: 'utf8' }).map((file) => join(room, file)),
  );
  const sources = files.filter((file) => /\.tsx?$/.test(file));
  const importsOf = (file: string): string[] => {
    const text = readFileSync(join(root, file), 'utf8');
    const specifiers = [...text.matchAll(/(?:from|import)\s*\(?\s*'(\.[^']+)'/g)].map(([, specifier]) => specifier!);
    return specifiers.map((specifier) => normalize(join(dirname(file), specifier)));
  };
  return new Map(sources.map((file) => [file, importsOf(file)]));
}

/** Circles as lists of paths, by the strongly connected parts of the graph (Tarjan 1972, SIAM J. Comput. 1(2)). */
function circles(graph: ReadonlyMap<string, readonly string[]>): string[][] {
  const order = new Map<string, number>();
  const lowest = new Map<string, number>();
  const open: string[] = [];
  const found: string[][] = [];
  const visit = (file: string): void => {
    order.set(file, order.size);
    lowest.set(file, order.get(file)!);
    open.push(file);
    for (const next of graph.get(file) ?? []) {
      if (!order.has(next)) visit(next);
      if (open.includes(next)) lowest.set(file, Math.min(lowest.get(file)!, lowest.get(next)!));
    }
    if (lowest.get(file) !== order.get(file)) return;
    const part = open.splice(open.indexOf(file));
    if (part.length > 1 || graph.get(file)?.includes(file)) found.push(part);
  };
  for (const file of graph.keys()) if (!order.has(file)) visit(file);
  return found;
}

it('finds a circle where there is one', () => {
  const graph = new Map([
    ['a', ['b', 'd']],
    ['b', ['c']],
    ['c', ['b']],
    ['d', []],
  ]);
  expect(circles(graph)).toEqual([['b', 'c']]);
});

it('has no circle of imports between sources, types included', () => {
  const graph = importsOfSources();
  expect(graph.size).toBeGreaterThan(300);
  expect(circles(graph)).toEqual([]);
});
