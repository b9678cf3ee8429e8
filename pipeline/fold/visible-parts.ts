import { hasBit } from '../validity/bits.ts';
import type { FoldedSheet } from '../validity/verdict.ts';

/** A convex polygon, counterclockwise in the folded plane, pattern units. */
export type Polygon = readonly (readonly [x: number, y: number])[];

/** The part of a folded piece that is seen from one side. */
export interface VisiblePart {
  readonly piece: number;
  readonly polygon: Polygon;
}

/** Parts smaller than this share of the sheet's side squared are rounding. */
const LEAST_AREA = 1e-9;

/**
 * What is seen of a folded sheet: every piece less all that lies above it (below it, seen from the back).
 *
 * @param fromAbove true: seen from the side that the largest face shows its front to
 */
export function visibleParts(sheet: FoldedSheet, fromAbove: boolean): VisiblePart[] {
  const { problem, orders } = sheet;
  const { pieces, prints } = problem;
  const covering = fromAbove ? orders.above : orders.below;
  const parts: VisiblePart[] = [];
  for (let piece = 0; piece < pieces.count; piece++) {
    let left: Polygon[] = [footprintOf(sheet, prints.footprint[piece])];
    for (let other = 0; left.length > 0 && other < pieces.count; other++) {
      if (!hasBit(covering, piece, other)) continue;
      if (prints.footprint[other] === prints.footprint[piece]) left = [];
      else left = left.flatMap((polygon) => without(polygon, footprintOf(sheet, prints.footprint[other])));
    }
    for (const polygon of left) parts.push({ piece, polygon });
  }
  return parts;
}

export function footprintOf({ problem }: FoldedSheet, footprint: number): Polygon {
  const { corner, x, y } = problem.prints;
  const polygon: [number, number][] = [];
  for (let i = corner[footprint]; i < corner[footprint + 1]; i++) polygon.push([x[i], y[i]]);
  return polygon;
}

/** A convex polygon less another one: convex parts outside one side after the other. */
function without(polygon: Polygon, hole: Polygon): Polygon[] {
  const outside: Polygon[] = [];
  let rest = polygon;
  for (let i = 0; i < hole.length && rest.length > 0; i++) {
    const [a, b] = [hole[i], hole[(i + 1) % hole.length]];
    const beyond = cut(rest, b, a);
    if (areaOf(beyond) > LEAST_AREA) outside.push(beyond);
    rest = cut(rest, a, b);
    if (areaOf(rest) <= LEAST_AREA) return [polygon];
  }
  return outside;
}

/** The part of a convex polygon on the left of a → b. */
function cut(polygon: Polygon, a: Polygon[number], b: Polygon[number]): Polygon {
  const depth = ([x, y]: Polygon[number]): number => (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]);
  const kept: [number, number][] = [];
  polygon.forEach((p, i) => {
    const before = polygon[(i + polygon.length - 1) % polygon.length];
    const [d, e] = [depth(before), depth(p)];
    if (d > 0 !== e > 0) {
      const t = d / (d - e);
      kept.push([before[0] + t * (p[0] - before[0]), before[1] + t * (p[1] - before[1])]);
    }
    if (e > 0) kept.push([p[0], p[1]]);
  });
  return kept;
}

export function areaOf(polygon: Polygon): number {
  let twice = 0;
  polygon.forEach(([x, y], i) => {
    const [u, v] = polygon[(i + 1) % polygon.length];
    twice += x * v - u * y;
  });
  return twice / 2;
}
