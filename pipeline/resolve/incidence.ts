import type { Incidence } from './grow-exact.ts';
import type { LineGraph } from './line-graph.ts';

/** Which vertices of the graph lie on which carriers, by the pieces that join them. */
export function incidenceOf(graph: LineGraph): Incidence {
  const on: Map<number, number>[] = graph.carriers.map(() => new Map());
  const at: Set<number>[] = graph.vertices.map(() => new Set());
  for (const { from, to, carrier, t0, t1 } of graph.pieces) {
    on[carrier].set(from, t0);
    on[carrier].set(to, t1);
    at[from].add(carrier);
    at[to].add(carrier);
  }
  const sorted = on.map((own) => [...own].sort((a, b) => a[1] - b[1]));
  return {
    places: graph.vertices,
    lines: graph.carriers.map(({ dx, dy }, l) => {
      const stops = sorted[l];
      const angle = (Math.atan2(dy, dx) + Math.PI) % Math.PI;
      return { angle, length: stops.length > 0 ? stops[stops.length - 1][1] - stops[0][1] : 0 };
    }),
    verticesOn: sorted.map((own) => own.map(([v]) => v)),
    linesAt: at.map((own) => [...own]),
  };
}
