/** The grid of equilateral triangles under a drawing in directions of 30 degrees. */
import { exact, toNumber } from '../geometry/exact.ts';
import type { Exact } from '../types.ts';
import { type ExactLine, NORMALS_30 } from './exact-lines.ts';
import type { Incidence } from './grow-exact.ts';

const MOST_DIVISIONS = 48;
/** Share of the drawn length that must lie on the grid. */
const LEAST_SHARE = 0.93;
/** A grid finer than this many tolerances to a step fits anything. */
const LEAST_STEP = 7;

/**
 * Distance of neighbouring lines of the grid with n divisions along x, for each direction from 0 degrees up, times n: in
 * terms of c in a·x + b·y = c with the normals of NORMALS_30. Vertices are at (i + j/2, j·√3/2) / n.
 */
const UNITS: readonly Exact[] = [
  exact(0, 2, 1, 3),
  exact(0, 3, 1, 3),
  exact(0, 1, 1, 3),
  exact(1, 2),
  exact(0, 1, 1, 3),
  exact(0, 3, 1, 3),
];

export interface HexGrid {
  readonly divisions: number;
  readonly lines: readonly (ExactLine | null)[];
}

/**
 * The coarsest grid that holds nearly all lines, with the lines that it makes exact; null where none does.
 *
 * @param directions multiple of 30 degrees that each line runs at, -1 for none
 */
export function findHexGrid(inc: Incidence, directions: readonly number[], tolerance: number): HexGrid | null {
  const offsets = inc.lines.map((_, l) => {
    if (directions[l] < 0 || inc.verticesOn[l].length === 0) return null;
    const [a, b] = NORMALS_30[directions[l]].map(toNumber);
    const own = inc.verticesOn[l].map((v) => a * inc.places[v][0] + b * inc.places[v][1]);
    return { c: own.reduce((sum, o) => sum + o, 0) / own.length, slack: tolerance * Math.hypot(a, b) };
  });
  for (let n = 1; n <= MOST_DIVISIONS; n++) {
    let [hit, all] = [0, 0];
    let isTooFine = false;
    const lines = inc.lines.map(({ length }, l): ExactLine | null => {
      const offset = offsets[l];
      all += length;
      if (!offset) return null;
      const unit = UNITS[directions[l]];
      const step = toNumber(unit) / n;
      if (step < LEAST_STEP * offset.slack) isTooFine = true;
      const k = Math.round(offset.c / step);
      if (Math.abs(offset.c - k * step) > offset.slack) return null;
      hit += length;
      const [a, b] = NORMALS_30[directions[l]];
      return { a, b, c: exact(unit.p * k, unit.q * n, unit.r * k, 3) };
    });
    if (isTooFine) return null;
    if (hit >= LEAST_SHARE * all) return { divisions: n, lines };
  }
  return null;
}
