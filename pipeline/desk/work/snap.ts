/** Where a point that a person shows is meant to be. */

import { toNumber } from '../../geometry/exact.ts';
import { crossingOf, lineOf, lineThrough, NORMALS_22 } from '../../resolve/exact-lines.ts';
import type { Crease, Exact, Pattern, PatternPoint } from '../../types.ts';
import { SAME_PLACE } from './draft.ts';
import { gridOf, isOnSheet, nearestGridPoint } from './grid.ts';
import { onSegment, placeOf } from './insert.ts';
import type { Place } from './work.ts';

export interface Snap {
  readonly place: Place;
  readonly what: 'vertex' | 'grid' | 'ray' | 'crease';
  /** Index of the vertex, if it is one. */
  readonly vertex?: number;
}

/** Of the outline's own rounding, pattern units. */
const EDGE_TOLERANCE = 1e-4;

export interface SnapOptions {
  /** How far a vertex or crease draws a point to itself, pattern units. */
  readonly reach: number;
  /** Where a crease that is being drawn starts: without a grid, directions of the 22.5-degree family count from here. */
  readonly from?: Place | null;
  /** A vertex that is being moved and draws nothing to itself. */
  readonly except?: number;
}

/**
 * The nearest vertex within reach; else the grid point; else, seen from where a crease starts, a crossing at a multiple
 * of 22.5 degrees; else the nearest place on a crease. Null where nothing is near, or off the sheet.
 */
export function snapTo(pattern: Pattern, at: PatternPoint, { reach, from, except }: SnapOptions): Snap | null {
  const vertex = nearestVertex(pattern, at, reach, except);
  if (vertex >= 0) {
    return { place: { at: pattern.vertices[vertex], exact: pattern.exact[vertex] }, what: 'vertex', vertex };
  }
  const grid = gridOf(pattern);
  if (grid) {
    const place = nearestGridPoint(grid, at);
    return isOnSheet(pattern, place.at, EDGE_TOLERANCE) ? { place, what: 'grid' } : null;
  }
  const met = from ? nearestOnRays(pattern, from, at, reach) : null;
  if (met) return { place: met, what: 'ray' };
  const on = nearestOnCrease(pattern, at, reach);
  return on ? { place: on, what: 'crease' } : null;
}

/** Index of the nearest vertex within reach; -1 where there is none. */
export function nearestVertex({ vertices }: Pattern, at: PatternPoint, reach: number, except = -1): number {
  let best = -1;
  let least = reach;
  for (let v = 0; v < vertices.length; v++) {
    const away = Math.hypot(vertices[v][0] - at[0], vertices[v][1] - at[1]);
    if (v === except || away > least) continue;
    best = v;
    least = away;
  }
  return best;
}

/** Index of the nearest crease within reach; -1 where there is none. */
export function nearestCrease({ vertices, creases }: Pattern, at: PatternPoint, reach: number): number {
  let best = -1;
  let least = reach;
  creases.forEach(({ from, to }, c) => {
    const away = distanceTo(at, vertices[from], vertices[to]);
    if (away > least) return;
    best = c;
    least = away;
  });
  return best;
}

function distanceTo(at: PatternPoint, a: PatternPoint, b: PatternPoint): number {
  const { along, away, length } = onSegment(at, a, b);
  if (along < 0) return Math.hypot(at[0] - a[0], at[1] - a[1]);
  return along > length ? Math.hypot(at[0] - b[0], at[1] - b[1]) : away;
}

function nearestOnCrease(pattern: Pattern, at: PatternPoint, reach: number): Place | null {
  const crease = nearestCrease(pattern, at, reach);
  if (crease < 0) return null;
  const [a, b] = [pattern.creases[crease].from, pattern.creases[crease].to].map((v) => pattern.vertices[v]);
  const { along, length } = onSegment(at, a, b);
  const share = Math.min(1, Math.max(0, along / length));
  return { at: [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])], exact: null };
}

/** Where a line from the start, at a multiple of 22.5 degrees, crosses a crease near the place shown. */
function nearestOnRays(pattern: Pattern, from: Place, at: PatternPoint, reach: number): Place | null {
  const near = pattern.creases.filter((c) => distanceTo(at, pattern.vertices[c.from], pattern.vertices[c.to]) <= reach);
  let best: Place | null = null;
  let least = reach;
  for (const normal of NORMALS_22) {
    for (const crease of near) {
      const place = onRay(pattern, from, normal, crease);
      if (!place || Math.hypot(place.at[0] - from.at[0], place.at[1] - from.at[1]) <= SAME_PLACE) continue;
      const away = Math.hypot(place.at[0] - at[0], place.at[1] - at[1]);
      if (away > least) continue;
      best = place;
      least = away;
    }
  }
  return best;
}

/** Where a line through a place meets a crease; null where they run beside each other. */
function onRay(
  pattern: Pattern,
  from: Place,
  normal: readonly [Exact, Exact],
  { from: a, to: b }: Crease,
): Place | null {
  const [nx, ny] = normal.map(toNumber);
  const off = nx * from.at[0] + ny * from.at[1];
  const [p, q] = [pattern.vertices[a], pattern.vertices[b]];
  const [s, t] = [p, q].map(([x, y]) => nx * x + ny * y - off);
  if (Math.abs(s - t) <= SAME_PLACE || s * t > 0) return null;
  const share = s / (s - t);
  const [e, f] = [pattern.exact[a], pattern.exact[b]];
  const ray = from.exact && lineThrough(from.exact, normal);
  const line = e && f && lineOf(e, f);
  return placeOf(
    [p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])],
    (ray && line && crossingOf(ray, line)) || null,
  );
}
