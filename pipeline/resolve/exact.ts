import type { LatticeFit } from '../lattice/lattice.ts';
import type { ExactPoint, Lattice, PatternPoint, Sheet } from '../types.ts';
import type { Incidence } from './grow-exact.ts';
import { cornersOnly, type Hypothesis, inFamily, isUnsteady, onGrid } from './hypotheses.ts';
import { incidenceOf } from './incidence.ts';
import type { LineGraph } from './line-graph.ts';
import { asMeant } from './meant.ts';
import { snapPlaces } from './snap.ts';

export interface ExactFit {
  /** Vertices of the graph, moved to their exact places where there are such. */
  readonly vertices: readonly PatternPoint[];
  readonly exact: readonly (ExactPoint | null)[];
  /** Exact places as derived, two vertices on one place included. */
  readonly derived: readonly (ExactPoint | null)[];
  readonly lattice: Lattice;
  /** Vertices with an exact place that stay as measured, since moving would merge vertices or turn a face over. */
  readonly crowded: readonly number[];
}

/** Share of the drawn length that must run in a family's directions. */
const FAMILY_SHARE = 0.8;
/** ... and the share in those that no square grid has. */
const OWN_SHARE = 0.05;
/** A direction counts if it is this close to a family's, radians. */
const NEAR_DIRECTION = (1.2 * Math.PI) / 180;
/** ... or this near at most where a hand drew short lines. */
const MOST_TURN = (5 * Math.PI) / 180;
/** An angle family wins over a grid that explains hardly more vertices: fine grids mimic it. */
const NEARLY = 0.9;
/** More divisions than this are rarely folded. */
const FINE = 40;
/** An angle family that reaches fewer vertices is not the pattern's. */
const LEAST_REACHED = 0.5;
/** Price of an exact line that misses an exact vertex on it, in vertices. */
const MISS_PRICE = 3;
/** More divisions than this are no grid that a person folds. */
const MOST_DIVISIONS = 64;

/**
 * Exact coordinates for the vertices of a graph, where they can be derived: from the grid lines that were found, or from
 * the corners of the sheet by lines in the directions of the 22.5-degree or the 30-degree family. What is not derived, or
 * lies too far from where it was measured, stays as measured.
 */
export function fitExact(graph: LineGraph, lattice: LatticeFit, sheet: Sheet): ExactFit {
  const inc = incidenceOf(graph);
  const asDrawn = chooseHypothesis(inc, graph, lattice, sheet);
  const meant = asMeant(graph);
  const byIntent = meant && chooseHypothesis(incidenceOf(meant), meant, lattice, sheet);
  const best = byIntent && (!asDrawn || scoreOf(byIntent) > scoreOf(asDrawn)) ? byIntent : asDrawn;
  const points = best ? best.points : cornersOnly(inc, sheet);
  const { vertices, exact, crowded } = snapPlaces(graph, points);
  return { vertices, exact, derived: points, crowded, lattice: describe(graph, vertices, exact, best, lattice, sheet) };
}

function chooseHypothesis(inc: Incidence, graph: LineGraph, lattice: LatticeFit, sheet: Sheet): Hypothesis | null {
  const grid = lattice.pitch ? onGrid(inc, graph, lattice, sheet) : null;
  const used = inc.linesAt.filter((own) => own.length > 0).length;
  let best = grid;
  for (const [family, parts, shared] of [
    ['square', 4, 1],
    ['angle22', 8, 2],
    ['hex', 6, 3],
  ] as const) {
    const { all, own } = directionShares(graph, parts, shared);
    if (all < FAMILY_SHARE) continue;
    // A fine grid may be a coarse one, seen badly; else a grid that was found needs no second look at its own directions.
    const isRival =
      family === 'square' ? !grid || grid.divisions > FINE : own >= OWN_SHARE || (!grid && family !== 'hex');
    if (!isRival) continue;
    const h = inFamily(inc, family, sheet, graph.meet);
    if (scoreOf(h) < LEAST_REACHED * used) continue;
    if (grid && family === 'square' && (h.divisions === 0 || 2 * h.divisions > grid.divisions)) continue;
    if (!best || scoreOf(h) >= NEARLY * scoreOf(best)) best = h;
  }
  return best;
}

function scoreOf({ count, missed }: Hypothesis): number {
  return count - MISS_PRICE * missed;
}

/**
 * Share of the drawn length at multiples of 180 / `parts` degrees, and in those directions of them that a square grid
 * lacks: every `shared`-th one is its own.
 */
function directionShares(graph: LineGraph, parts: number, shared: number): { all: number; own: number } {
  let [total, all, own] = [0, 0, 0];
  const length = spans(graph);
  for (const { carrier, border, t0, t1 } of graph.pieces) {
    if (border) continue;
    const { dx, dy } = graph.carriers[carrier];
    const at = (Math.atan2(dy, dx) / Math.PI) * parts;
    const k = Math.round(at);
    total += t1 - t0;
    // A line that misses its vertices turns the more the shorter it is.
    const slack = isUnsteady(graph.meet) ? Math.atan2(2 * graph.meet, length[carrier]) : 0;
    if ((Math.abs(at - k) * Math.PI) / parts > Math.min(MOST_TURN, NEAR_DIRECTION + slack)) continue;
    all += t1 - t0;
    if (k % shared !== 0) own += t1 - t0;
  }
  return total > 0 ? { all: all / total, own: own / total } : { all: 0, own: 0 };
}

/** Length of each line from its first piece to its last, pattern units. */
function spans({ carriers, pieces }: LineGraph): Float64Array {
  const low = new Float64Array(carriers.length).fill(Infinity);
  const high = new Float64Array(carriers.length).fill(-Infinity);
  for (const { carrier, t0, t1 } of pieces) {
    low[carrier] = Math.min(low[carrier], t0);
    high[carrier] = Math.max(high[carrier], t1);
  }
  return high.map((to, c) => to - low[c]);
}

function describe(
  graph: LineGraph,
  vertices: readonly PatternPoint[],
  exact: readonly (ExactPoint | null)[],
  best: Hypothesis | null,
  { pitch, spread }: LatticeFit,
  sheet: Sheet,
): Lattice {
  const none: Lattice = { kind: 'none', divisionsX: 0, divisionsY: 0, halfUnits: false, residual: spread, fit: 0 };
  if (!best) return none;
  const used = new Set(graph.pieces.flatMap(({ from, to }) => [from, to]));
  const fit = exact.filter((e, v) => e && used.has(v)).length / Math.max(1, used.size);
  let sum = 0;
  vertices.forEach(([x, y], v) => {
    sum += (graph.vertices[v][0] - x) ** 2 + (graph.vertices[v][1] - y) ** 2;
  });
  const moved = Math.sqrt(sum / Math.max(1, vertices.length));
  const square = (divisions: number, residual: number): Lattice => {
    const onWhole = exact.filter((e) => e && isOnGrid(e, divisions)).length;
    const onHalf = exact.filter((e) => e && isOnGrid(e, 2 * divisions)).length;
    return {
      kind: 'square',
      divisionsX: Math.round(sheet.width * divisions),
      divisionsY: Math.round(sheet.height * divisions),
      halfUnits: onHalf > onWhole,
      residual,
      fit,
    };
  };
  if (best.family === 'square' && best.divisions > 0) {
    // The spread was measured about the grid that was found, and says nothing of another.
    return square(best.divisions, best.divisions === pitch?.divisions ? spread : moved);
  }
  if (best.family !== 'hex') {
    const divisions = commonDivisions(exact);
    if (divisions > 0) return square(divisions, moved);
  }
  return { ...none, kind: best.family === 'hex' ? 'hex' : 'angle22', divisionsX: best.divisions, residual: moved, fit };
}

function isOnGrid([x, y]: ExactPoint, divisions: number): boolean {
  return x.r === 0 && y.r === 0 && divisions % x.q === 0 && divisions % y.q === 0;
}

/** Divisions of the grid that holds all exact points; 0 where none of a size that is folded does. */
function commonDivisions(exact: readonly (ExactPoint | null)[]): number {
  let divisions = 1;
  for (const point of exact) {
    for (const { r, q } of point ?? []) {
      if (r !== 0) return 0;
      let [a, b] = [divisions, q];
      while (b !== 0) [a, b] = [b, a % b];
      divisions = (divisions / a) * q;
      if (divisions > MOST_DIVISIONS) return 0;
    }
  }
  return divisions;
}
