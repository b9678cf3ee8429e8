/** Cuts an endless drawing to a sheet: what lies inside stays, lines end on the border, the border is closed. */
import { addExact, divExact, ExactOverflowError, mulExact, subExact, toNumber } from '../../pipeline/geometry/exact.ts';
import type { Crease, ExactPoint, Kind, PatternPoint } from '../../pipeline/types.ts';
import type { LooseGraph } from './graph.ts';

/** Nearer than this is on the border or the same point, sheet units. */
const NEAR = 1e-9;

export interface Outline {
  /** Convex, counterclockwise. */
  readonly points: readonly PatternPoint[];
  readonly exact: readonly (ExactPoint | null)[];
}

/** Signed distance of a point to the side from p to q: positive inside (left of it). */
function depth(p: PatternPoint, q: PatternPoint, v: PatternPoint): number {
  return ((q[0] - p[0]) * (v[1] - p[1]) - (q[1] - p[1]) * (v[0] - p[0])) / Math.hypot(q[0] - p[0], q[1] - p[1]);
}

function crossExact(p: ExactPoint, q: ExactPoint, u: ExactPoint, v: ExactPoint): ExactPoint | null {
  const cross = (a: ExactPoint, b: ExactPoint) => subExact(mulExact(a[0], b[1]), mulExact(a[1], b[0]));
  const minus = (a: ExactPoint, b: ExactPoint): ExactPoint => [subExact(a[0], b[0]), subExact(a[1], b[1])];
  try {
    const side = minus(q, p);
    const along = minus(v, u);
    const t = divExact(cross(side, minus(p, u)), cross(side, along));
    return [addExact(u[0], mulExact(t, along[0])), addExact(u[1], mulExact(t, along[1]))];
  } catch (error) {
    if (error instanceof ExactOverflowError) return null;
    throw error;
  }
}

/** Border creases join neighbours along the outline; drawn lines that lie on the outline give way to them. */
export function clipToOutline(graph: LooseGraph, outline: Outline): LooseGraph {
  const points: PatternPoint[] = [];
  const exact: (ExactPoint | null)[] = [];
  const place = (p: PatternPoint, e: ExactPoint | null): number => {
    // Only points of the border can be met twice; there are few of them.
    const same = points.findIndex((o) => Math.abs(o[0] - p[0]) < NEAR && Math.abs(o[1] - p[1]) < NEAR);
    if (same >= 0) return same;
    exact.push(e);
    return points.push(p) - 1;
  };
  const corners = outline.points.map((p, i) => place(p, outline.exact[i]));
  const sides = outline.points.map((p, i) => ({ p, q: outline.points[(i + 1) % outline.points.length], i }));
  const onSide: { at: number; along: number }[][] = sides.map(() => []);
  const inner = new Map<number, number>();
  const edges: Crease[] = [];
  for (const { from, to, kind } of graph.edges) {
    let ends: [PatternPoint, PatternPoint] = [graph.points[from], graph.points[to]];
    let exactEnds: [ExactPoint | null, ExactPoint | null] = [graph.exact[from], graph.exact[to]];
    const line = [...exactEnds] as const;
    let whole: [boolean, boolean] = [true, true];
    let gone = false;
    for (const { p, q, i } of sides) {
      const d = ends.map((e) => depth(p, q, e));
      if (d[0] < NEAR && d[1] < NEAR) {
        gone = true;
        break;
      }
      for (const k of [0, 1] as const) {
        if (d[k] >= -NEAR) continue;
        const t = d[k] / (d[k] - d[1 - k]);
        const [a, b] = [ends[k], ends[1 - k]];
        const n = (i + 1) % sides.length;
        const [ep, eq] = [outline.exact[i], outline.exact[n]];
        const e = ep && eq && line[0] && line[1] ? crossExact(ep, eq, line[0], line[1]) : null;
        const cut: PatternPoint = e
          ? [toNumber(e[0]), toNumber(e[1])]
          : [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
        ends = k === 0 ? [cut, ends[1]] : [ends[0], cut];
        exactEnds = k === 0 ? [e, exactEnds[1]] : [exactEnds[0], e];
        whole = k === 0 ? [false, whole[1]] : [whole[0], false];
      }
    }
    if (gone) continue;
    const number = ([0, 1] as const).map((k) => {
      const original = k === 0 ? from : to;
      const known = whole[k] ? inner.get(original) : undefined;
      if (known !== undefined) return known;
      const touches = sides.some(({ p, q }) => Math.abs(depth(p, q, ends[k])) < NEAR);
      const at = touches ? place(ends[k], exactEnds[k]) : points.push(ends[k]) - 1;
      if (!touches) exact.push(exactEnds[k]);
      if (whole[k]) inner.set(original, at);
      return at;
    });
    edges.push({ from: number[0], to: number[1], kind });
  }
  points.forEach((v, at) => {
    sides.forEach(({ p, q }, i) => {
      const length = Math.hypot(q[0] - p[0], q[1] - p[1]);
      const along = ((v[0] - p[0]) * (q[0] - p[0]) + (v[1] - p[1]) * (q[1] - p[1])) / length;
      const isCorner = corners.includes(at);
      if (!isCorner && Math.abs(depth(p, q, v)) < NEAR && along > 0 && along < length) onSide[i].push({ at, along });
    });
  });
  sides.forEach(({ i }) => {
    const run = onSide[i].sort((a, b) => a.along - b.along).map((s) => s.at);
    const chain = [corners[i], ...run, corners[(i + 1) % corners.length]];
    for (let k = 1; k < chain.length; k++) edges.push({ from: chain[k - 1], to: chain[k], kind: 'B' as Kind });
  });
  return { points, exact, edges };
}
