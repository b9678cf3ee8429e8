import type { Carrier } from '../graph/carriers.ts';
import type { PatternPoint } from '../types.ts';
import type { Draft } from './draft.ts';

/** Grid lines and sides decide where a vertex with free lines lies. */
const GRID_WEIGHT = 1000;
/** Lines nearly parallel do not tell where they meet. */
const LEAST_DETERMINANT = 1e-3;

/** Moves measured vertices to the least-squares meeting point of the lines that still pass. */
export function settleVertices(draft: Draft, which: Iterable<number>): void {
  const through: Set<number>[] = draft.vertices.map(() => new Set());
  const sides = new Set<number>();
  for (const { from, to, carrier, border, present } of draft.parts) {
    if (!present) continue;
    through[from].add(carrier);
    through[to].add(carrier);
    if (border) sides.add(carrier);
  }
  for (const v of which) {
    draft.measured[v] = meetingPoint(through[v], draft.carriers, draft.measured[v], sides);
  }
}

/**
 * The least-squares meeting point of lines, given as indices of carriers; `near` where they are too nearly parallel to tell.
 * Pattern frame; `sides` are the carriers that are sides of the sheet.
 */
export function meetingPoint(
  lines: Iterable<number>,
  carriers: readonly Carrier[],
  [x, y]: PatternPoint,
  sides: ReadonlySet<number>,
): PatternPoint {
  let [a, b, d, right, up] = [0, 0, 0, 0, 0];
  for (const l of lines) {
    const { nx, ny, off, grid } = carriers[l];
    const weight = grid || sides.has(l) ? GRID_WEIGHT : 1;
    const miss = off - nx * x - ny * y;
    a += weight * nx * nx;
    b += weight * nx * ny;
    d += weight * ny * ny;
    right += weight * nx * miss;
    up += weight * ny * miss;
  }
  const det = a * d - b * b;
  if (det <= LEAST_DETERMINANT * a * d) return [x, y];
  return [x + (d * right - b * up) / det, y + (a * up - b * right) / det];
}
