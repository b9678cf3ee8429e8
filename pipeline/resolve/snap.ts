/** Moving measured vertices to exact places without harm to the drawing. */
import { toPoint } from '../geometry/exact.ts';
import type { ExactPoint, PatternPoint } from '../types.ts';
import { pointKey } from './exact-lines.ts';
import type { LineGraph } from './line-graph.ts';

export interface Snapped {
  readonly vertices: PatternPoint[];
  readonly exact: (ExactPoint | null)[];
  /** Vertices that had to stay although an exact place was known. */
  readonly crowded: number[];
}

/**
 * Moves vertices to their exact places. Where two have one place, the nearer moves; where the order of the creases around
 * a vertex would change, the vertices that moved there most go back, until it does not.
 */
export function snapPlaces(
  graph: Pick<LineGraph, 'vertices' | 'pieces'>,
  points: readonly (ExactPoint | null)[],
): Snapped {
  const exact = [...points];
  const crowded = new Set<number>();
  const distance = graph.vertices.map(([x, y], v) => {
    const point = points[v];
    if (!point) return 0;
    const [ex, ey] = toPoint(point);
    return Math.hypot(ex - x, ey - y);
  });
  const stay = (v: number) => {
    exact[v] = null;
    crowded.add(v);
  };
  const owner = new Map<string, number>();
  points.forEach((point, v) => {
    if (!point) return;
    const key = pointKey(point);
    const other = owner.get(key);
    if (other === undefined) owner.set(key, v);
    else if (distance[other] <= distance[v]) stay(v);
    else {
      stay(other);
      owner.set(key, v);
    }
  });
  const vertices = graph.vertices.map((p, v): PatternPoint => {
    const point = exact[v];
    return point ? toPoint(point) : p;
  });
  for (const v of untangle(graph.pieces, graph.vertices, vertices)) stay(v);
  return { vertices, exact, crowded: [...crowded] };
}

/**
 * Puts vertices that were moved furthest back to where they were, until the creases around every vertex come in the order that they had.
 *
 * @param moved changed in place
 * @returns the vertices that were put back
 */
export function untangle(
  pieces: readonly { readonly from: number; readonly to: number }[],
  places: readonly PatternPoint[],
  moved: PatternPoint[],
): number[] {
  const neighbours: number[][] = places.map(() => []);
  for (const { from, to } of pieces) {
    neighbours[from].push(to);
    neighbours[to].push(from);
  }
  const distance = places.map(([x, y], v) => Math.hypot(moved[v][0] - x, moved[v][1] - y));
  const orders = neighbours.map((own, v) => roundOrder(own, v, (u) => places[u]));
  const back: number[] = [];
  for (let changed = true; changed; ) {
    changed = false;
    for (let v = 0; v < neighbours.length; v++) {
      if (roundOrder(neighbours[v], v, (u) => moved[u]) === orders[v]) continue;
      const candidates = [v, ...neighbours[v]].filter((u) => distance[u] > 0);
      if (candidates.length === 0) continue;
      const furthest = candidates.reduce((a, b) => (distance[b] > distance[a] ? b : a));
      moved[furthest] = places[furthest];
      distance[furthest] = 0;
      back.push(furthest);
      changed = true;
    }
  }
  return back;
}

/** Neighbours counterclockwise, from the smallest number on: equal texts mean the same faces around a vertex. */
function roundOrder(neighbours: readonly number[], v: number, place: (u: number) => PatternPoint): string {
  const [x, y] = place(v);
  const angle = new Map(
    neighbours.map((u) => {
      const [ux, uy] = place(u);
      return [u, Math.atan2(uy - y, ux - x)] as const;
    }),
  );
  const ring = [...neighbours].sort((a, b) => angle.get(a)! - angle.get(b)!);
  const start = ring.indexOf(Math.min(...ring));
  return [...ring.slice(start), ...ring.slice(0, start)].join(' ');
}
