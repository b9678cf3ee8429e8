/** From loose vertices and kinded edges to a tidy Pattern: merged straight joints, numbered afresh, scaled already. */
import type { Crease, ExactPoint, Kind, Lattice, Pattern, PatternPoint } from '../../pipeline/types.ts';

/** Sine of the largest bend that still counts as straight; far above rounding, far below any drawn angle. */
const STRAIGHT_SINE = 1e-7;

export interface LooseGraph {
  readonly points: readonly PatternPoint[];
  readonly exact: readonly (ExactPoint | null)[];
  readonly edges: readonly Crease[];
}

/**
 * Merges every degree-2 vertex whose two creases are collinear and of one kind, drops unused vertices, and orders
 * vertices by y then x so that equal patterns are equal as data.
 */
export function tidyPattern(graph: LooseGraph, lattice: Lattice | null): Pattern {
  const around: Map<number, { to: number; kind: Kind }[]> = new Map();
  const link = (a: number, b: number, kind: Kind): void => {
    const list = around.get(a);
    if (list) list.push({ to: b, kind });
    else around.set(a, [{ to: b, kind }]);
  };
  for (const { from, to, kind } of graph.edges) {
    link(from, to, kind);
    link(to, from, kind);
  }
  for (const [v, ends] of around) {
    if (ends.length !== 2 || ends[0].kind !== ends[1].kind) continue;
    const [a, b] = [ends[0].to, ends[1].to];
    if (!isStraight(graph.points[a], graph.points[v], graph.points[b])) continue;
    for (const [x, y] of [
      [a, b],
      [b, a],
    ]) {
      const list = around.get(x)!;
      list[list.findIndex((e) => e.to === v)] = { to: y, kind: ends[0].kind };
    }
    around.delete(v);
  }
  const kept = [...around.keys()].sort(
    (i, j) => graph.points[i][1] - graph.points[j][1] || graph.points[i][0] - graph.points[j][0],
  );
  const number = new Map(kept.map((v, i) => [v, i]));
  const creases: Crease[] = [];
  for (const v of kept) {
    for (const { to, kind } of around.get(v)!) {
      const [from, end] = [number.get(v)!, number.get(to)!];
      if (from < end) creases.push({ from, to: end, kind });
    }
  }
  creases.sort((a, b) => a.from - b.from || a.to - b.to);
  return {
    vertices: kept.map((v) => graph.points[v]),
    exact: kept.map((v) => graph.exact[v]),
    creases,
    lattice,
  };
}

function isStraight(a: PatternPoint, v: PatternPoint, b: PatternPoint): boolean {
  const [ux, uy, wx, wy] = [v[0] - a[0], v[1] - a[1], b[0] - v[0], b[1] - v[1]];
  const scale = Math.hypot(ux, uy) * Math.hypot(wx, wy);
  return ux * wx + uy * wy > 0 && Math.abs(ux * wy - uy * wx) <= STRAIGHT_SINE * scale;
}
