/** The coarsest grid, of squares or of equilateral triangles, under lines of which only the directions are known. */
import { exact, toNumber } from '../geometry/exact.ts';
import type { Exact } from '../types.ts';
import { type ExactLine, NORMALS_22, NORMALS_30 } from './exact-lines.ts';
import type { Incidence } from './grow-exact.ts';

/** Directions of a grid's lines, and how far apart they are with one division, in terms of c in a·x + b·y = c. */
export interface GridShape {
  readonly normals: readonly (readonly [Exact, Exact])[];
  readonly units: readonly Exact[];
}

const [ONE, HALF] = [exact(1), exact(1, 2)];
const ROOT3_OVER = [0, 1, 2, 3].map((q) => exact(0, Math.max(1, q), 1, 3));

/** Every 45 degrees, vertices at (i, j) / n. */
export const SQUARES: GridShape = {
  normals: NORMALS_22.filter((_, k) => k % 2 === 0),
  units: [ONE, ONE, ONE, ONE],
};
/** Every 30 degrees, vertices at (i + j/2, j·√3/2) / n. */
export const TRIANGLES: GridShape = {
  normals: NORMALS_30,
  units: [ROOT3_OVER[2], ROOT3_OVER[3], ROOT3_OVER[1], HALF, ROOT3_OVER[1], ROOT3_OVER[3]],
};

const MOST_DIVISIONS = 48;
/** Share of the drawn length that must lie on the grid. */
const LEAST_SHARE = 0.93;
/** A grid with less than this many tolerances to a step fits anything; few lines are fitted more easily than many. */
const LEAST_STEP = { few: 8, many: 5 };
const MANY_LINES = 8;

export interface CoarseGrid {
  readonly divisions: number;
  readonly lines: readonly (ExactLine | null)[];
}

/**
 * The coarsest grid that holds nearly all lines, with the lines that it makes exact; null where none does.
 *
 * @param directions which of the shape's directions each line runs in, -1 for none
 */
export function findCoarseGrid(
  inc: Incidence,
  { normals, units }: GridShape,
  directions: readonly number[],
  tolerance: number,
): CoarseGrid | null {
  const offsets = inc.lines.map((_, l) => {
    if (directions[l] < 0 || inc.verticesOn[l].length === 0) return null;
    const [a, b] = normals[directions[l]].map(toNumber);
    const own = inc.verticesOn[l].map((v) => a * inc.places[v][0] + b * inc.places[v][1]);
    return { c: own.reduce((sum, o) => sum + o, 0) / own.length, slack: tolerance * Math.hypot(a, b) };
  });
  const isMany = offsets.filter((o) => o).length >= MANY_LINES;
  const leastStep = isMany ? LEAST_STEP.many : LEAST_STEP.few;
  for (let n = 1; n <= MOST_DIVISIONS; n++) {
    let [hit, all] = [0, 0];
    let isTooFine = false;
    const lines = inc.lines.map(({ length }, l): ExactLine | null => {
      const offset = offsets[l];
      all += length;
      if (!offset) return null;
      const unit = units[directions[l]];
      const step = toNumber(unit) / n;
      if (step < leastStep * offset.slack) isTooFine = true;
      const k = Math.round(offset.c / step);
      if (Math.abs(offset.c - k * step) > offset.slack) return null;
      hit += length;
      const [a, b] = normals[directions[l]];
      return { a, b, c: exact(unit.p * k, unit.q * n, unit.r * k, 3) };
    });
    if (isTooFine) return null;
    if (hit >= LEAST_SHARE * all) return { divisions: n, lines };
  }
  return null;
}
