/** What a pattern's vertices would exactly be, if it lay on a square grid, or in the 22.5-degree or 30-degree family. */
import { type Bend, bendAt, fitBend, NO_BEND, termCount } from '../geometry/bend.ts';
import { exact, toPoint } from '../geometry/exact.ts';
import type { Carrier } from '../graph/carriers.ts';
import { GRID_DIRECTIONS } from '../lattice/grid-directions.ts';
import type { LatticeFit } from '../lattice/lattice.ts';
import type { ExactPoint, PatternPoint, Sheet } from '../types.ts';
import { findCoarseGrid, type GridShape, SQUARES, TRIANGLES } from './coarse-grid.ts';
import { exactCorners } from './corners.ts';
import { type ExactLine, NORMALS_22, NORMALS_30 } from './exact-lines.ts';
import { countAgreement, type ExactState, type GrowRules, growExact, type Incidence } from './grow-exact.ts';
import { gridPoints } from './lattice-points.ts';
import { seedSmallNumbers } from './small-fits.ts';

export type Family = 'square' | 'angle22' | 'hex';

export interface Hypothesis {
  readonly family: Family;
  readonly points: readonly (ExactPoint | null)[];
  /** Vertices that are exact, and how often an exact line misses one. */
  readonly count: number;
  readonly missed: number;
  /** How far an exact place may lie from a measured one, pattern units. */
  readonly tolerance: number;
  /** Divisions along x of a grid that was found on the way; 0 for none. */
  readonly divisions: number;
}

/** Lines of a family are off their direction by less than this, plus what their length allows, radians. */
const DIRECTION_SLACK = (0.7 * Math.PI) / 180;
const MOST_SLACK = (5 * Math.PI) / 180;
/** Odd multiples of 22.5 degrees among grid lines must be closer: slopes such as 2/5 are not far. */
const TIGHT_SLACK = (0.3 * Math.PI) / 180;
/** At first a page may be bent by this much, pattern units. */
const BENT = 0.008;
/** What a hand missed its vertices by, it missed the outline by as well: two errors of one size. */
const UNSTEADY_MEETS = Math.SQRT2;
/** Places are known to a px or so at best; beyond so many spreads is another place. */
const LEAST_TOLERANCE_PX = 2;
const SPREADS = 6;
/** The middle of a whole line is known better. */
const MIDDLE_PX = 0.8;
const MIDDLE_SPREADS = 2;
/** Degree of the bend that the exact places reveal, and how many of them it takes for each number in it. */
const BEND_DEGREE = 3;
const POINTS_PER_TERM = 3;
/** On a grid, vertices of slanted lines may be off by so many px or spreads, at most this share of a step. */
const GRID_TOLERANCE_PX = 1.5;
const GRID_SPREADS = 4;
const GRID_STEP_SHARE = 0.25;
/** Share of the vertices that must be exact before small numbers are tried for the rest. */
const WELL_REACHED = 0.98;

/** Whether lines were drawn so far beside the vertices where they meet that places are less well known than on a bent page. */
export function isUnsteady(meet: number): boolean {
  return UNSTEADY_MEETS * meet > BENT;
}

/** Exact places if the grid that was found is the true one. */
export function onGrid(
  inc: Incidence,
  graph: { readonly carriers: readonly Carrier[] },
  lattice: LatticeFit,
  sheet: Sheet,
): Hypothesis {
  const parts = Math.round(1 / lattice.step);
  const tolerance = Math.min(
    Math.max(GRID_TOLERANCE_PX / sheet.pxPerUnit, GRID_SPREADS * lattice.spread),
    GRID_STEP_SHARE * lattice.step,
  );
  const lines = graph.carriers.map(({ grid }): ExactLine | null => {
    if (!grid) return null;
    // In the list of directions as in the exact normals, b = 1, or b = 0 and a = 1.
    const { a, b } = GRID_DIRECTIONS[grid.direction];
    return { a: exact(a), b: exact(b), c: exact(grid.index, parts) };
  });
  const corners = exactCorners(sheet, parts, 2);
  const state = startState(inc, sheet, corners, lines);
  const slackAt = sideSlack(inc, sheet, corners);
  const eighths = directionsOf(inc, 8, tolerance);
  const quarter = (l: number) => (eighths[l] >= 0 && eighths[l] % 2 === 0 ? NORMALS_22[eighths[l]] : null);
  growExact(inc, state, { normalOf: quarter, throughTwo: true, tolerance, slackAt });
  const isTight = (l: number) => offDirection(inc.lines[l].angle, eighths[l], 8) + tolerance / inc.lines[l].length;
  const rules: GrowRules = {
    normalOf: (l) => quarter(l) ?? (eighths[l] >= 0 && isTight(l) < TIGHT_SLACK ? NORMALS_22[eighths[l]] : null),
    throughTwo: true,
    tolerance,
    slackAt,
  };
  growExact(inc, state, rules);
  const divisions = lattice.pitch?.divisions ?? parts;
  for (const [v, point] of gridPoints(inc, state, 2 * divisions, tolerance)) {
    state.points[v] = point;
    state.givenPoints.add(v);
  }
  growExact(inc, state, rules);
  return judged('square', inc, state, tolerance, divisions);
}

interface FamilyRules {
  /** Directions at multiples of 180 degrees over their number. */
  readonly normals: GridShape['normals'];
  readonly root: 2 | 3;
  /** Grid that may lie under the lines; null for a family that has none. */
  readonly shape: GridShape | null;
  /** How far a line may lie off the grid, as a share of what a vertex may; grids of triangles are denser. */
  readonly lineShare: number;
}

const FAMILIES: Readonly<Record<Family, FamilyRules>> = {
  square: { normals: SQUARES.normals, root: 2, shape: SQUARES, lineShare: 0.65 },
  angle22: { normals: NORMALS_22, root: 2, shape: null, lineShare: 0 },
  hex: { normals: NORMALS_30, root: 3, shape: TRIANGLES, lineShare: 0.5 },
};

/**
 * Exact places if every line runs in a family's directions and lies on a coarse grid or hangs on the corners by its crossings.
 * `meet` is how far apart lines that meet were drawn, pattern units.
 */
export function inFamily(inc: Incidence, family: Family, sheet: Sheet, meet: number): Hypothesis {
  const { normals, root, shape, lineShare } = FAMILIES[family];
  const corners = exactCorners(sheet, 0, root);
  const px = 1 / sheet.pxPerUnit;
  let places = inc.places;
  const loosest = Math.max(BENT, UNSTEADY_MEETS * meet);
  let tolerance = loosest;
  let spread = 0;
  let state = startState(inc, sheet, corners, []);
  // A bent page is read twice: what is exact by the first reading straightens it for the second.
  for (let reading = 0; ; reading++) {
    const straight = { ...inc, places };
    const directions = directionsOf(inc, normals.length, tolerance);
    // Grid lines are given where there are such; on a bent page they wait for the second reading.
    const grid = shape && findCoarseGrid(straight, shape, directions, Math.max(lineShare * tolerance, px));
    if (grid) state = startState(inc, sheet, corners, grid.lines);
    const rules: GrowRules = {
      normalOf: (l) => (directions[l] >= 0 ? normals[directions[l]] : null),
      throughTwo: reading > 0,
      tolerance,
      slackAt: isUnsteady(meet) ? slantSlack(straight, tolerance) : undefined,
    };
    growExact(straight, state, rules);
    const reached = state.points.filter((p) => p).length;
    // A coarse grid that holds all there is needs no second reading.
    if (reading === 0 && grid && reached >= WELL_REACHED * inc.places.length) {
      return judged(family, inc, state, tolerance, grid.divisions);
    }
    if (reading > 0) {
      if (reached < WELL_REACHED * inc.places.length) {
        const middle = Math.max(MIDDLE_PX * px, MIDDLE_SPREADS * spread);
        state = seedSmallNumbers(straight, state, rules, Math.min(middle, tolerance), root);
      }
      return judged(family, inc, state, tolerance, grid?.divisions ?? 0);
    }
    const bend = bendTo(inc.places, state.points);
    places = inc.places.map(([x, y]): PatternPoint => {
      const [bx, by] = bendAt(bend, x, y);
      return [x + bx, y + by];
    });
    spread = spreadOf(places, state);
    tolerance = Math.min(loosest, Math.max(LEAST_TOLERANCE_PX * px, SPREADS * spread));
    state = startState(inc, sheet, corners, []);
  }
}

/** The corners of the sheet alone. */
export function cornersOnly(inc: Incidence, sheet: Sheet): (ExactPoint | null)[] {
  return startState(inc, sheet, exactCorners(sheet, 0, 2), []).points;
}

function judged(family: Family, inc: Incidence, state: ExactState, tolerance: number, divisions: number): Hypothesis {
  const { missed } = countAgreement(inc, state);
  return { family, points: state.points, count: state.points.filter((p) => p).length, missed, tolerance, divisions };
}

/** Corners of the sheet and given lines are where exactness starts. */
function startState(
  inc: Incidence,
  sheet: Pick<Sheet, 'polygon'>,
  corners: readonly (ExactPoint | null)[],
  lines: readonly (ExactLine | null)[],
): ExactState {
  const points: (ExactPoint | null)[] = inc.places.map(() => null);
  const givenPoints = new Set<number>();
  corners.forEach((corner, i) => {
    const v = nearest(inc.places, sheet.polygon[i]);
    if (v < 0 || !corner) return;
    points[v] = corner;
    givenPoints.add(v);
  });
  const all = inc.lines.map((_, l) => lines[l] ?? null);
  return { points, lines: all, givenPoints, givenLines: new Set(all.flatMap((line, l) => (line ? [l] : []))) };
}

const SAME_PLACE = 1e-6;

function nearest(places: readonly PatternPoint[], [x, y]: PatternPoint): number {
  return places.findIndex((p) => Math.abs(p[0] - x) < SAME_PLACE && Math.abs(p[1] - y) < SAME_PLACE);
}

/** A slanted line moves a vertex on a side further than the side itself has moved. */
const SLANT = 2.5;

/** How much farther off than their lines vertices may lie where these cross at a slant. */
function slantSlack({ places, lines, linesAt }: Incidence, tolerance: number): Float64Array {
  return Float64Array.from(places, (_, v) => {
    let most = 0;
    for (const l of linesAt[v])
      for (const m of linesAt[v]) most = Math.max(most, Math.abs(Math.sin(lines[l].angle - lines[m].angle)));
    return tolerance * (Math.min(SLANT, 1 / Math.max(most, 1e-9)) - 1);
  });
}

/** How far vertices on each side may lie from their exact places because the side's corners do. */
function sideSlack(
  inc: Incidence,
  { polygon }: Pick<Sheet, 'polygon'>,
  corners: readonly (ExactPoint | null)[],
): Float64Array {
  const slack = new Float64Array(inc.places.length);
  const moved = corners.map((corner, i) => {
    if (!corner) return 0;
    const [x, y] = toPoint(corner);
    return Math.hypot(x - polygon[i][0], y - polygon[i][1]);
  });
  polygon.forEach(([ax, ay], i) => {
    const j = (i + 1) % polygon.length;
    const most = Math.max(moved[i], moved[j]);
    if (most < SAME_PLACE) return;
    const [bx, by] = polygon[j];
    const length = Math.hypot(bx - ax, by - ay);
    inc.places.forEach(([x, y], v) => {
      const beside = Math.abs((x - ax) * (by - ay) - (y - ay) * (bx - ax)) / length;
      if (beside < most) slack[v] = Math.max(slack[v], SLANT * most);
    });
  });
  return slack;
}

/** Which multiple of 180 / `parts` degrees each line runs at, -1 for none. */
function directionsOf(inc: Incidence, parts: number, tolerance: number): number[] {
  return inc.lines.map(({ angle, length }) => {
    const slack = Math.min(MOST_SLACK, DIRECTION_SLACK + Math.atan2(2 * tolerance, length));
    const k = Math.round((angle * parts) / Math.PI) % parts;
    return offDirection(angle, k, parts) <= slack ? k : -1;
  });
}

function offDirection(angle: number, k: number, parts: number): number {
  const turn = Math.abs(angle - (k * Math.PI) / parts) % Math.PI;
  return Math.min(turn, Math.PI - turn);
}

/** The smooth displacement that takes measured places to exact ones. */
function bendTo(places: readonly PatternPoint[], points: readonly (ExactPoint | null)[]): Bend {
  const rows: number[][] = [];
  places.forEach(([x, y], v) => {
    const point = points[v];
    if (!point) return;
    const [ex, ey] = toPoint(point);
    rows.push([x, y, 1, 0, ex - x, 1], [x, y, 0, 1, ey - y, 1]);
  });
  let degree = BEND_DEGREE;
  while (degree >= 0 && rows.length < 2 * POINTS_PER_TERM * termCount(degree)) degree--;
  if (degree < 0) return NO_BEND;
  const column = (c: number) => Float64Array.from(rows, (r) => r[c]);
  const misses = rows.map((r) => Math.abs(r[4])).sort((a, b) => a - b);
  const scale = Math.max(1e-6, misses[misses.length >> 1]);
  return fitBend(
    { x: column(0), y: column(1), nx: column(2), ny: column(3), off: column(4), weight: column(5) },
    degree,
    scale,
  );
}

/** Robust spread of measured places about exact ones, pattern units: from the middle one of their distances. */
function spreadOf(places: readonly PatternPoint[], { points, givenPoints }: ExactState): number {
  const misses = places.flatMap(([x, y], v) => {
    const point = points[v];
    // Given corners lie where they do by definition.
    if (!point || givenPoints.has(v)) return [];
    const [ex, ey] = toPoint(point);
    return [Math.hypot(ex - x, ey - y)];
  });
  misses.sort((a, b) => a - b);
  // The middle one of distances in the plane is 1.18 spreads.
  return misses.length > 0 ? misses[misses.length >> 1] / 1.18 : 0;
}
