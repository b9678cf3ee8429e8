import { exact } from '../../geometry/exact.ts';
import type { Pattern, PatternPoint } from '../../types.ts';
import { onSegment } from './insert.ts';
import type { Place } from './work.ts';

/** The square grid that points are put on. */
export interface Grid {
  /** Points to the longest side, half units counted. */
  readonly parts: number;
  /** Lines to the longest side, half units not counted. */
  readonly divisions: number;
}

/** Null where the pattern lies on no square grid. */
export function gridOf({ lattice }: Pattern): Grid | null {
  if (lattice?.kind !== 'square') return null;
  // The longest side is 1 and carries the larger number of divisions.
  const divisions = Math.max(lattice.divisionsX, lattice.divisionsY);
  return divisions > 0 ? { divisions, parts: lattice.halfUnits ? 2 * divisions : divisions } : null;
}

/** The grid point nearest to a place. */
export function nearestGridPoint({ parts }: Grid, [x, y]: PatternPoint): Place {
  const [i, j] = [Math.round(x * parts), Math.round(y * parts)];
  return { at: [i / parts, j / parts], exact: [exact(i, parts), exact(j, parts)] };
}

/** On the edge of the sheet or inside it, by counting the edges that a ray to the right crosses. */
export function isOnSheet({ vertices, creases }: Pattern, at: PatternPoint, tolerance: number): boolean {
  let inside = false;
  for (const { from, to, kind } of creases) {
    if (kind !== 'B') continue;
    const [a, b] = [vertices[from], vertices[to]];
    const { along, away, length } = onSegment(at, a, b);
    if (away <= tolerance && along >= -tolerance && along <= length + tolerance) return true;
    if (a[1] > at[1] === b[1] > at[1]) continue;
    if (at[0] < a[0] + ((at[1] - a[1]) / (b[1] - a[1])) * (b[0] - a[0])) inside = !inside;
  }
  return inside;
}
