import { type Bend, type BendRow, bendAt, bendSamples, fitBend } from '../geometry/bend.ts';
import type { Side } from '../geometry/sides.ts';
import { findRhythms, type GridRow, gridRows, type RhythmSeed, WINDOW } from './rhythm.ts';
import { sideRows } from './side-rows.ts';
import type { StraightSegment } from './straight-segment.ts';

/** Fewer lines say nothing. */
const LEAST_LINES = 12;
/** Between two numberings both are tried unless one is farther off than this, lines. */
const SHIFT_SLACK = 0.75;
/** Radius of the first ring in divisions: so far a curl does not put the rhythm out of step. */
const FIRST_RING = 6;
/** Radius grows by this factor a step. */
const GROWTH = 1.18;
/** The bend of a ring of this radius (pattern units) at most has this degree. */
const DEGREES = [
  { within: 0.14, degree: 1 },
  { within: 0.3, degree: 2 },
  { within: 0.6, degree: 3 },
  { within: Infinity, degree: 4 },
];
/** A line is numbered if it lies this near a whole number while the numbering grows, ... */
const NUMBER_SLACK = 0.3;
/** ... and counts for the grid if it lies this near in the end, divisions. */
const ON_GRID = 0.15;
/** At least this share of the lines' length must: a bend is so free that wrong grids reach 0.9. */
const LEAST_SHARE = 0.93;
/** Sheets bend by less than this, root mean square over their lines, pattern units (common practice, no source). */
const MOST_BEND = 0.04;
/** ... and by less than this for each line of the grid: a few lines can be bent onto any grid. */
const BEND_PER_LINE = 0.0015;
/** A fine grid with few of its lines drawn is met by chance. */
const LINES_PER_DIVISION = 0.8;
/** Sides bow by less than this, pattern units; a bend that moves them farther is made up. */
const ON_SIDE = 0.015;
/** Grids with nearly the best share are as good; the one that needs the smallest bend wins, ... */
const NEARLY = 0.03;
/** ... the coarsest of those that need nearly the same: every line of a grid lies on its multiples too. */
const ALIKE = 1.1;
/** Length of line that earns full trust, pattern units. */
const TRUSTED_LENGTH = 0.06;
/** Bends of this degree on are asked to leave the sides of the outline in place. */
const SIDE_DEGREE = 2;

/**
 * Numbers the lines of a grid on a smoothly bent sheet, upright, level and diagonal ones. The rhythm of parallel lines is
 * found in small windows, where the sheet is nearly flat; from a clear window the numbering spreads outwards, each ring
 * fitted by a smooth bend that foretells the next and leaves the sides of the outline in place. Every likely number of
 * divisions is tried; the one that numbers nearly all lines with the smallest bend wins. Returns the bend (pattern units),
 * or null. `px` is one paper px in pattern units.
 */
export function growBend(segments: readonly StraightSegment[], sides: readonly Side[], px: number): Bend | null {
  const rows = gridRows(segments);
  if (rows.length < LEAST_LINES) return null;
  const grown: Grown[] = [];
  for (const seed of findRhythms(rows)) {
    if (grown.some((g) => g.divisions === seed.divisions)) continue;
    grown.push(...growFrom(seed, rows, sides, px).filter(isCredible));
  }
  if (grown.length === 0) return null;
  const most = Math.max(...grown.map((g) => g.share));
  const good = grown.filter((g) => g.share >= most - NEARLY);
  const least = Math.min(...good.map((g) => g.size));
  return good.filter((g) => g.size <= ALIKE * least + px).reduce((a, b) => (b.divisions < a.divisions ? b : a)).bend;
}

function isCredible({ share, size, lines, divisions }: Grown): boolean {
  if (share < LEAST_SHARE || lines < LINES_PER_DIVISION * divisions) return false;
  return size < Math.min(MOST_BEND, BEND_PER_LINE * lines);
}

interface Grown {
  readonly divisions: number;
  readonly bend: Bend;
  /** Share of the length that lies on the grid, or of the outline that stays in place, whichever is less. */
  readonly share: number;
  /** Number of different lines of the grid that are drawn. */
  readonly lines: number;
  /** How far the bend moves the lines, root mean square, pattern units. */
  readonly size: number;
}

/**
 * Grows from one window: first without the sides, which only numbers lines relative to each other; where the sides come to
 * lie tells by how many lines that is off, and from there the numbering grows again, held by the sides.
 */
function growFrom(seed: RhythmSeed, rows: readonly GridRow[], sides: readonly Side[], px: number): Grown[] {
  const { divisions } = seed;
  const free = spread(seed, rows, [], px);
  if (shareOn(free, rows, divisions) < LEAST_SHARE) return [];
  const [x, y] = [shiftsOf(free, sides, divisions, 0), shiftsOf(free, sides, divisions, 1)];
  return x.flatMap((i) =>
    y.map((j) => {
      const lines = seed.lines.map(({ row, line }) => ({ row, line: line + row.along.a * i + row.along.b * j }));
      const bend = spread({ ...seed, lines }, rows, sides, px);
      const share = Math.min(shareOn(bend, rows, divisions), keptSides(sides, bend));
      return { divisions, bend, share, lines: linesOn(bend, rows, divisions), size: sizeOf(bend, rows) };
    }),
  );
}

/** Whole numbers of divisions by which the upright (axis 0) or level (axis 1) sides lie off their places, all sides taken together. */
function shiftsOf(bend: Bend, sides: readonly Side[], divisions: number, axis: 0 | 1): number[] {
  const off = sides.flatMap((s) => {
    const n = axis === 0 ? s.nx : s.ny;
    if (Math.abs(n) < 0.99) return [];
    const moved = sideRows(s).map(([x, y]) => bendAt(bend, x, y)[axis]);
    return [moved.sort((u, v) => u - v)[moved.length >> 1]];
  });
  if (off.length === 0) return [0];
  const mean = (-divisions * off.reduce((sum, v) => sum + v, 0)) / off.length;
  return [Math.floor(mean), Math.ceil(mean)].filter(
    (n, i, all) => Math.abs(n - mean) < SHIFT_SLACK && all.indexOf(n) === i,
  );
}

/** The bend after the numbering has spread from the window over all rows; the sides, if given, are asked to stay in place. */
function spread(
  { divisions, cx, cy, lines }: RhythmSeed,
  rows: readonly GridRow[],
  sides: readonly Side[],
  px: number,
): Bend {
  const scale = Math.max(1.5 * px, 0.06 / divisions);
  const awayFrom = (x: number, y: number) => Math.max(Math.abs(x - cx), Math.abs(y - cy));
  const first = Math.min(WINDOW / 2, FIRST_RING / divisions);
  const outline = sides.flatMap((s) => sideRows(s));
  const start = lines.filter(({ row }) => awayFrom(row.x, row.y) < first);
  let bend = fitBend(bendSamples(start.map(({ row, line }) => rowOf(row, line, divisions))), 1, scale, 1e-5);
  for (let radius = first; radius < 1.6; radius *= GROWTH) {
    const isNear = (x: number, y: number) => awayFrom(x, y) < radius;
    const { degree } = DEGREES.find((d) => radius < d.within) ?? DEGREES[0];
    const near = rows.filter((s) => isNear(s.x, s.y));
    const samples = near.flatMap((row) => {
      const at = numberOf(row, bend, divisions);
      return Math.abs(at - Math.round(at)) > NUMBER_SLACK ? [] : [rowOf(row, Math.round(at), divisions)];
    });
    if (degree >= SIDE_DEGREE) samples.push(...outline.filter(([x, y]) => isNear(x, y)));
    bend = fitBend(bendSamples(samples), degree, scale, 1e-5);
  }
  return bend;
}

/** Share of the rows' length that lies on the grid. */
function shareOn(bend: Bend, rows: readonly GridRow[], divisions: number): number {
  let on = 0;
  let all = 0;
  for (const row of rows) {
    const at = numberOf(row, bend, divisions);
    all += row.length;
    if (Math.abs(at - Math.round(at)) < ON_GRID) on += row.length;
  }
  return on / all;
}

/** How many different lines of the grid the rows lie on. */
function linesOn(bend: Bend, rows: readonly GridRow[], divisions: number): number {
  const lines = new Set<string>();
  for (const row of rows) {
    const at = numberOf(row, bend, divisions);
    if (Math.abs(at - Math.round(at)) < ON_GRID) lines.add(`${row.along.a},${row.along.b},${Math.round(at)}`);
  }
  return lines.size;
}

function sizeOf(bend: Bend, rows: readonly GridRow[]): number {
  let moved = 0;
  let all = 0;
  for (const { x, y, length } of rows) {
    const [bx, by] = bendAt(bend, x, y);
    all += length;
    moved += length * (bx * bx + by * by);
  }
  return Math.sqrt(moved / all);
}

/** Share of the outline's samples that a bend leaves about where they are. */
function keptSides(sides: readonly Side[], bend: Bend): number {
  const rows = sides.flatMap((s) => sideRows(s));
  const kept = rows.filter(([x, y, nx, ny]) => {
    const [bx, by] = bendAt(bend, x, y);
    return Math.abs(nx * bx + ny * by) < ON_SIDE;
  });
  return kept.length / rows.length;
}

/** The a x + b y of a line's middle in divisions, bend taken out. */
function numberOf({ x, y, along }: GridRow, bend: Bend, divisions: number): number {
  const [bx, by] = bendAt(bend, x, y);
  return divisions * (along.a * (x + bx) + along.b * (y + by));
}

/** Asks a line to lie where its number says. */
function rowOf({ x, y, length, along }: GridRow, line: number, divisions: number): BendRow {
  const norm = Math.hypot(along.a, along.b);
  const off = (line / divisions - along.a * x - along.b * y) / norm;
  return [x, y, along.a / norm, along.b / norm, off, Math.min(1, length / TRUSTED_LENGTH)];
}
