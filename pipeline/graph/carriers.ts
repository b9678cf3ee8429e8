import { isInside, type Side, sidesOf } from '../geometry/sides.ts';
import { weightedQuantile } from '../geometry/weighted-median.ts';
import { joinBowed } from '../lattice/bowed.ts';
import { endMiss, type FreeLine, type FreeSegment, gatherFree } from '../lattice/free-lines.ts';
import { GRID_DIRECTIONS, gridDirectionOf } from '../lattice/grid-directions.ts';
import { lineBeside } from '../lattice/grid-reach.ts';
import type { LatticeFit } from '../lattice/lattice.ts';
import { pointsNear, type StraightPoints, straightPoints } from '../lattice/straight-points.ts';
import type { StraightSegment } from '../lattice/straight-segment.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';
import { explainedShare, seenLine } from './explained.ts';
import { isByHand, TURN_OFTEN, unsteadiness } from './steadiness.ts';

/** An infinite straight line that creases may lie on, pattern frame: nx x + ny y = off, with a unit normal. */
export interface Carrier {
  readonly nx: number;
  readonly ny: number;
  readonly off: number;
  /** Unit direction; positions along the carrier are t = dx x + dy y. */
  readonly dx: number;
  readonly dy: number;
  /** Direction index and line number on the grid, or null for a free line. */
  readonly grid: { readonly direction: number; readonly index: number } | null;
  /** First and last t inside the sheet. */
  readonly from: number;
  readonly to: number;
  /** 1 where a centre-line point with the carrier's direction was seen; one bin a paper px, from `from`. */
  readonly seen: Uint8Array;
  /** Where seen: how far the centre line lies from the carrier there, along its normal, pattern units. */
  readonly beside: Float32Array;
  /** Root mean square distance of the centre-line points to the carrier, pattern units. */
  readonly residual: number;
  /** Where a hand meant the line to run, pattern units; missing where that is not known. */
  readonly meant?: { readonly nx: number; readonly ny: number; readonly off: number };
}

/** A ridge point belongs to a carrier if its direction is this close. */
const POINT_TURN = (14 * Math.PI) / 180;
const RUNS_ALONG = Math.sin(POINT_TURN);
/** How far a point may lie from its carrier: in stroke widths, at least so many px, at most a share of the grid step. */
const POINT_STRAY = { widths: 0.6, leastPx: 1.3, stepShare: 0.3, spreads: 4.5 };

/** A slanted stroke's ends lie this much farther from its line than its points do in root mean square. */
const END_ROOM = Math.sqrt(3);

/**
 * Lines of the grid, and free lines that hold centre line which no longer line explains. `reach` is how far unsteady
 * strokes of the grid lie beside its lines, pattern units.
 */
export function findCarriers(strokes: Strokes, lattice: LatticeFit, sheet: Sheet, reach: number): Carrier[] {
  const px = 1 / sheet.pxPerUnit;
  const stray = strayLimit(strokes, lattice, px);
  const room = Math.max(stray, END_ROOM * reach);
  const gridLines = new Map<number, { direction: number; index: number; length: number }>();
  const free: FreeSegment[] = [];
  const leastSegment = Math.max(FREE_LEAST_PX, FREE_LEAST_WIDTHS * strokes.strokeWidthPx) * px;
  // A hand's stroke that belongs to a line of the grid belongs to it with all its points, however far it bows.
  const drawnFor = new Map<number, number>();
  lattice.straight.forEach((s, i) => {
    const line = gridLineOf(s, lattice, stray, reach, px);
    if (!line) {
      if (s.length >= leastSegment) free.push({ ...s, points: strokes.segments[i].points });
      return;
    }
    const key = gridKey(line.direction, line.index);
    const known = gridLines.get(key);
    if (known) known.length += s.length;
    else gridLines.set(key, { ...line, length: s.length });
    if (reach > 0) for (const p of strokes.segments[i].points) drawnFor.set(p, key);
  });
  const least = Math.max(LEAST_PX * px, Math.min(lattice.step * LEAST_STEPS, CREASE_LENGTH));
  const lines: Line[] = [];
  for (const g of gridLines.values()) {
    if (g.length < least) continue;
    const dir = GRID_DIRECTIONS[g.direction];
    const norm = Math.hypot(dir.a, dir.b);
    lines.push({ nx: dir.a / norm, ny: dir.b / norm, off: (g.index * lattice.step) / norm, grid: g, aside: 0 });
  }
  const points = straightPoints(strokes.ridges, lattice.bend, sheet);
  const carriers = coverLines(lines, points, lattice, sheet, room, drawnFor);
  const blot = Math.max(BLOT_PX, BLOT_WIDTHS * strokes.strokeWidthPx) * px;
  // A drawn border is ink all along, seen or not.
  const sides = sidesOf(sheet.polygon);
  const known = [...carriers, ...sides.map((side) => ({ ...side, from: 0, seen: null }))].map(seenLine);
  const leastFree = Math.max(least, FREE_LINE_PX * px);
  const leastLost = Math.max(leastFree, LOST_WIDTHS * strokes.strokeWidthPx * px);
  const loose = gatherFree(free, px, stray);
  const rough = lattice.step > 0 ? [] : coverLines(loose.map(asLine), points, lattice, sheet, stray);
  const wavers = unsteadiness(rough);
  const unsteady = UNSTEADY_STRAYS * wavers;
  const steady = unsteady > stray ? unsteady : steadyStray(loose, stray, px);
  // In print a slight turn is a vertex that the strokes across it hide; a hand's strokes waver or turn often.
  const unbowed = joinBowed(free, lattice.straight, strokes.strokeWidthPx * px);
  const turns = isByHand(wavers, px) || free.length - unbowed.length > TURN_OFTEN * free.length;
  const gathered = steady === stray && !turns ? loose : gatherFree(turns ? unbowed : free, px, steady);
  const addFree = (lines: FreeLine[]): void => {
    for (const f of lines.sort((u, v) => v.length - u.length)) {
      if (f.length < leastFree) break;
      if (f.length < SURE_LENGTH && explainedShare(f.members, points, known, blot, px) > EXPLAINED) continue;
      const found = coverLines([asLine(f)], points, lattice, sheet, steady);
      carriers.push(...found);
      known.push(...found.map(seenLine));
    }
  };
  addFree(gathered);
  // Half of a line that wavers may leave the line that both halves share: it is then a line of its own.
  const lost = strokes.segments.flatMap(({ points: of }, i) => {
    const s = { ...lattice.straight[i], points: of };
    if (s.length < leastLost || !isInside(sides, s.x, s.y)) return [];
    return explainedShare([s], points, known, Math.max(blot, room), px) > EXPLAINED ? [] : [s];
  });
  addFree(gatherFree(lost, px, steady));
  for (const { points: of } of strokes.segments) markWhole(carriers, of, points, steady, px);
  return carriers;
}

/** Points of a stroke most of which lies on a line may lie so many times as far off it as others. */
const OWN_STRAYS = 3;

/** A stroke of which most lies on a free line is all ink of that line: a hand's short stroke slants off the line that others share with it. */
function markWhole(
  carriers: readonly Carrier[],
  of: Int32Array,
  points: StraightPoints,
  stray: number,
  px: number,
): void {
  let line: Carrier | null = null;
  let most = EXPLAINED * of.length;
  for (const c of carriers) {
    if (c.grid) continue;
    let on = 0;
    for (const p of of) {
      const miss = Math.abs(c.nx * points.x[p] + c.ny * points.y[p] - c.off);
      if (miss <= stray && isAlong(c, points.angle[p])) on++;
      else if (miss > OWN_STRAYS * stray) on = Number.NEGATIVE_INFINITY;
    }
    if (on > most) [line, most] = [c, on];
  }
  if (!line || most === of.length) return;
  for (const p of of) markPoint(line, points.x[p], points.y[p], px);
}

/** Marks a point's place on a carrier; false where it lies before or after it. */
function markPoint(c: Carrier, x: number, y: number, px: number): boolean {
  const miss = c.nx * x + c.ny * y - c.off;
  const bin = Math.round((c.dx * x + c.dy * y - c.from) / px);
  if (bin < -1 || bin > c.seen.length) return false;
  for (let b = Math.max(0, bin - 1); b <= Math.min(c.seen.length - 1, bin + 1); b++) {
    if (!c.seen[b] || Math.abs(miss) < Math.abs(c.beside[b])) c.beside[b] = miss;
    c.seen[b] = 1;
  }
  return true;
}

function isAlong({ nx, ny }: Carrier, angle: number): boolean {
  return Math.abs(Math.cos(angle) * nx + Math.sin(angle) * ny) <= RUNS_ALONG;
}

/** Ink this close to a stroke may be its own blot. */
const BLOT_PX = 2;
const BLOT_WIDTHS = 1.3;
/** A free line is a ghost if more than this share of its centre line lies in the blots of longer ones. */
const EXPLAINED = 0.5;
/** Lines this long are real whatever lies near, pattern units. */
const SURE_LENGTH = 0.3;

interface Line {
  nx: number;
  ny: number;
  off: number;
  grid: { direction: number; index: number } | null;
  /** Its ink may lie so much farther off it than that of steady strokes, pattern units. */
  aside: number;
}

function asLine({ nx, ny, off, aside }: FreeLine): Line {
  return { nx, ny, off, grid: null, aside };
}

/** Shortest free segment worth a thought (dots and ends of dashes point anywhere), and least centre line on a free carrier and on any, paper px. */
const FREE_LEAST_PX = 6;
const FREE_LEAST_WIDTHS = 2.5;
const FREE_LINE_PX = 14;
/** Shorter strokes that no line took are blots and ends. */
const LOST_WIDTHS = 6;
const LEAST_PX = 5;
const LEAST_STEPS = 0.35;
/** Centre line of this length is a crease however coarse the grid, pattern units: drawings of no grid may have a few lines on halves. */
const CREASE_LENGTH = 0.03;

/** Pieces of one line may lie off it by so many times what most pieces of this drawing do. */
const STEADY = 6;
const STEADY_QUANTILE = 0.7;
/** Unsteady strokes lie beside their line by up to so many times what is usual. */
const UNSTEADY_STRAYS = 5;
/** Two lines nearer than this are not told apart by it, px. */
const STEADY_PX = 2.5;

/** `stray`, or less where the pieces of lines agree far better than that: broad strokes with steady middles then stay two lines. */
function steadyStray(lines: readonly FreeLine[], stray: number, px: number): number {
  const misses = lines.flatMap((line) =>
    line.members.length > 1 ? line.members.map((m) => ({ value: endMiss(line, m), weight: m.length })) : [],
  );
  if (misses.length === 0) return stray;
  return Math.min(stray, Math.max(STEADY_PX * px, STEADY * weightedQuantile(misses, STEADY_QUANTILE)));
}

function strayLimit(strokes: Strokes, lattice: LatticeFit, px: number): number {
  const wish = Math.max(
    POINT_STRAY.leastPx * px,
    POINT_STRAY.widths * strokes.strokeWidthPx * px,
    POINT_STRAY.spreads * lattice.spread,
  );
  return lattice.step > 0 ? Math.min(wish, POINT_STRAY.stepShare * lattice.step) : wish;
}

function gridLineOf(s: StraightSegment, lattice: LatticeFit, stray: number, reach: number, px: number) {
  if (!lattice.pitch) return null;
  const beside = lineBeside(s, lattice.step);
  if (beside && beside.miss < reach) return beside;
  const direction = gridDirectionOf(s, px);
  if (direction < 0) return null;
  const g = GRID_DIRECTIONS[direction];
  const at = (g.a * s.x + g.b * s.y) / lattice.step;
  const index = Math.round(at);
  if ((Math.abs(at - index) * lattice.step) / Math.hypot(g.a, g.b) > stray) return null;
  return { direction, index };
}

/** Marks on each line where centre-line points of its direction lie; `drawnFor` are points known to belong to a line of the grid, by its key. */
function coverLines(
  lines: Line[],
  points: StraightPoints,
  lattice: LatticeFit,
  sheet: Sheet,
  stray: number,
  drawnFor: ReadonlyMap<number, number> = new Map(),
): Carrier[] {
  const px = 1 / sheet.pxPerUnit;
  const sides = sidesOf(sheet.polygon);
  const carriers = lines.map((l) => {
    const dx = l.ny;
    const dy = -l.nx;
    const [from, to] = insideSheet(l, dx, dy, sides, 2 * px);
    const bins = Math.max(1, Math.ceil((to - from) / px) + 1);
    return {
      ...l,
      dx,
      dy,
      from,
      to,
      seen: new Uint8Array(bins),
      beside: new Float32Array(bins),
      residual: 0,
      sum: 0,
      n: 0,
    };
  });
  const onGrid = new Map<number, number>();
  const free: number[] = [];
  carriers.forEach((c, i) => {
    if (c.grid) onGrid.set(gridKey(c.grid.direction, c.grid.index), i);
    else free.push(i);
  });
  const mark = (i: number, x: number, y: number, miss: number) => {
    const c = carriers[i];
    if (!markPoint(c, x, y, px)) return;
    c.sum += miss * miss;
    c.n++;
  };
  for (let p = 0; onGrid.size > 0 && p < points.x.length; p++) {
    const x = points.x[p];
    const y = points.y[p];
    const angle = points.angle[p];
    for (let d = 0; d < 4; d++) {
      const g = GRID_DIRECTIONS[d];
      if (turnBetween(angle, g.angle) > POINT_TURN) continue;
      const at = (g.a * x + g.b * y) / lattice.step;
      const index = Math.round(at);
      const miss = ((at - index) * lattice.step) / Math.hypot(g.a, g.b);
      const key = gridKey(d, index);
      if (Math.abs(miss) > (drawnFor.get(p) === key ? POINT_STRAY.stepShare * lattice.step : stray)) continue;
      const i = onGrid.get(key);
      if (i !== undefined) mark(i, x, y, miss);
    }
  }
  const near = new Int32Array(free.length > 0 ? points.x.length : 0);
  for (const i of free) {
    const { nx, ny, off, aside } = carriers[i];
    const count = pointsNear(points, nx, ny, off, stray + aside, near);
    for (let k = 0; k < count; k++) {
      const p = near[k];
      const [x, y] = [points.x[p], points.y[p]];
      if (isAlong(carriers[i], points.angle[p])) mark(i, x, y, nx * x + ny * y - off);
    }
  }
  return carriers
    .filter((c) => c.n > 0 && c.to > c.from)
    .map(({ sum, n, aside, ...c }) => ({ ...c, residual: Math.sqrt(sum / n) }));
}

function gridKey(direction: number, index: number): number {
  return direction * 4096 + index + 2048;
}

function turnBetween(a: number, b: number): number {
  const t = Math.abs(a - b) % Math.PI;
  return Math.min(t, Math.PI - t);
}

/** Range of t where the line runs inside the (convex) outline, grown by `slack`. */
function insideSheet(
  l: { nx: number; ny: number; off: number },
  dx: number,
  dy: number,
  sides: readonly Side[],
  slack: number,
): [number, number] {
  let from = -Infinity;
  let to = Infinity;
  const x0 = l.nx * l.off;
  const y0 = l.ny * l.off;
  for (const { from: corner, nx, ny } of sides) {
    const height = (x0 - corner[0]) * nx + (y0 - corner[1]) * ny + slack;
    const climb = dx * nx + dy * ny;
    if (Math.abs(climb) < 1e-9) {
      if (height < 0) return [0, 0];
    } else if (climb > 0) from = Math.max(from, -height / climb);
    else to = Math.min(to, -height / climb);
  }
  return to > from ? [from, to] : [0, 0];
}
