import type { Kind, Pattern } from '../types.ts';
import { hasBit } from '../validity/bits.ts';
import type { LayerProblem } from '../validity/problem.ts';
import type { FoldedSheet } from '../validity/verdict.ts';

/** Gaps smaller than this are rounding, pattern units. */
const JOIN = 1e-7;

/** Stretch of a line that is to be drawn, with ends in the folded plane. */
export interface Stroke {
  readonly from: readonly [number, number];
  readonly to: readonly [number, number];
}

/**
 * Sides of pieces (folds and edges of the sheet) as far as nothing covers them; stretches on one line are joined.
 */
export function visibleEdges(sheet: FoldedSheet, fromAbove: boolean): Stroke[] {
  const { problem, orders } = sheet;
  const { pieces, prints } = problem;
  const covering = fromAbove ? orders.above : orders.below;
  const byLine = new Map<number, { segment: number; intervals: Interval[] }>();
  for (let s = 0; s < pieces.x.length; s++) {
    // Sides along which a face was only cut in two are no edges.
    if (pieces.crease[s] < 0) continue;
    const segment = prints.segment[s];
    const piece = pieces.piece[s];
    let open: Interval[] = [[0, 1]];
    for (let other = 0; open.length > 0 && other < pieces.count; other++) {
      if (!hasBit(covering, piece, other)) continue;
      const hidden = hiddenBy(sheet, segment, prints.footprint[other]);
      if (hidden) open = open.flatMap((interval) => lessInterval(interval, hidden));
    }
    const line = prints.line[segment];
    const known = byLine.get(line) ?? { segment, intervals: [] };
    byLine.set(line, known);
    for (const interval of open) known.intervals.push(alongLine(sheet, segment, interval));
  }
  return [...byLine.values()].flatMap(({ segment, intervals }) =>
    joined(intervals).map((interval) => strokeOn(problem, segment, interval)),
  );
}

/** A stroke of the see-through view with the kinds of all folds and edges that lie on it. */
export interface LayeredStroke extends Stroke {
  readonly kinds: ReadonlySet<Kind>;
}

/** All sides of all pieces, cut wherever the kinds that lie on a line change. */
export function layeredEdges(pattern: Pattern, { problem }: FoldedSheet): LayeredStroke[] {
  const { pieces, prints } = problem;
  const byLine = new Map<number, { segment: number; kind: Kind }[]>();
  for (let s = 0; s < pieces.x.length; s++) {
    if (pieces.crease[s] < 0) continue;
    const segment = prints.segment[s];
    const kind = pieces.mate[s] < 0 ? 'B' : pattern.creases[pieces.crease[s]].kind;
    const known = byLine.get(prints.line[segment]) ?? [];
    byLine.set(prints.line[segment], known);
    if (!known.some((one) => one.segment === segment && one.kind === kind)) known.push({ segment, kind });
  }
  const strokes: LayeredStroke[] = [];
  for (const sides of byLine.values()) {
    const ends = sides.flatMap(({ segment }) => [prints.from[segment], prints.to[segment]]).sort((a, b) => a - b);
    let before: { from: number; to: number; kinds: Set<Kind> } | null = null;
    const close = (): void => {
      if (before)
        strokes.push({ ...strokeOn(problem, sides[0].segment, [before.from, before.to]), kinds: before.kinds });
    };
    for (let i = 0; i + 1 < ends.length; i++) {
      const [from, to] = [ends[i], ends[i + 1]];
      if (to - from <= JOIN) continue;
      const middle = (from + to) / 2;
      const here = sides.filter(({ segment }) => prints.from[segment] < middle && prints.to[segment] > middle);
      const kinds = new Set(here.map(({ kind }) => kind));
      if (before && sameKinds(before.kinds, kinds)) before.to = to;
      else {
        close();
        before = kinds.size > 0 ? { from, to, kinds } : null;
      }
    }
    close();
  }
  return strokes;
}

function sameKinds(a: ReadonlySet<Kind>, b: ReadonlySet<Kind>): boolean {
  return a.size === b.size && [...a].every((kind) => b.has(kind));
}

type Interval = readonly [from: number, to: number];

/** Stretch of a segment, as shares of its length, strictly inside a footprint. */
function hiddenBy({ problem }: FoldedSheet, segment: number, footprint: number): Interval | null {
  const { ends, corner, x, y } = problem.prints;
  if (!hasBit(problem.overlaps.crossed, segment, footprint)) return null;
  const [px, py, qx, qy] = ends.subarray(4 * segment, 4 * segment + 4);
  let [t0, t1] = [0, 1];
  for (let i = corner[footprint], last = corner[footprint + 1] - 1; i < corner[footprint + 1]; last = i++) {
    const [ex, ey] = [x[i] - x[last], y[i] - y[last]];
    const d = ex * (py - y[last]) - ey * (px - x[last]);
    const e = ex * (qy - y[last]) - ey * (qx - x[last]);
    if (d <= 0 && e <= 0) return null;
    if (d < 0) t0 = Math.max(t0, d / (d - e));
    else if (e < 0) t1 = Math.min(t1, d / (d - e));
  }
  return t1 > t0 ? [t0, t1] : null;
}

function lessInterval([from, to]: Interval, [low, high]: Interval): Interval[] {
  const left: Interval[] = [];
  if (low > from) left.push([from, Math.min(low, to)]);
  if (high < to) left.push([Math.max(high, from), to]);
  return left.filter(([a, b]) => b > a);
}

/** Shares of a segment as positions along its line. */
function alongLine({ problem }: FoldedSheet, segment: number, [t0, t1]: Interval): Interval {
  const { from, to, ends, line, ux, uy } = problem.prints;
  const [x0, y0, x1, y1] = ends.subarray(4 * segment, 4 * segment + 4);
  const forward = (x1 - x0) * ux[line[segment]] + (y1 - y0) * uy[line[segment]] > 0;
  const length = to[segment] - from[segment];
  return forward
    ? [from[segment] + t0 * length, from[segment] + t1 * length]
    : [to[segment] - t1 * length, to[segment] - t0 * length];
}

function joined(intervals: readonly Interval[]): Interval[] {
  const sorted = [...intervals].sort((a, b) => a[0] - b[0]);
  const result: [number, number][] = [];
  for (const [from, to] of sorted) {
    const last = result[result.length - 1];
    if (last && from <= last[1] + JOIN) last[1] = Math.max(last[1], to);
    else if (to - from > JOIN) result.push([from, to]);
  }
  return result;
}

/** A stretch of a line; `segment` is any segment on it. */
function strokeOn(problem: LayerProblem, segment: number, [from, to]: Interval): Stroke {
  const { ends, line, ux, uy } = problem.prints;
  const [dx, dy] = [ux[line[segment]], uy[line[segment]]];
  const [x0, y0] = ends.subarray(4 * segment, 4 * segment + 2);
  const at = x0 * dx + y0 * dy;
  const place = (t: number): [number, number] => [x0 + (t - at) * dx, y0 + (t - at) * dy];
  return { from: place(from), to: place(to) };
}
