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
    const [x, y] = draft.measured[v];
    let [a, b, d, right, up] = [0, 0, 0, 0, 0];
    for (const l of through[v]) {
      const { nx, ny, off, grid } = draft.carriers[l];
      const weight = grid || sides.has(l) ? GRID_WEIGHT : 1;
      const miss = off - nx * x - ny * y;
      a += weight * nx * nx;
      b += weight * nx * ny;
      d += weight * ny * ny;
      right += weight * nx * miss;
      up += weight * ny * miss;
    }
    const det = a * d - b * b;
    if (det > LEAST_DETERMINANT * a * d) {
      draft.measured[v] = [x + (d * right - b * up) / det, y + (a * up - b * right) / det];
    }
  }
}
