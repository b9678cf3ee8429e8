import type { InkField } from '../ink/ink.ts';
import { keepRidges } from '../strokes/ridges.ts';
import { linkStrokes, type Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';
import { GRID_DIRECTIONS } from './grid-directions.ts';
import { LAWFUL, shareOfMaekawa, squareCrossings } from './grid-law.ts';
import { findLattice, type LatticeFit } from './lattice.ts';
import { areOneInk } from './one-ink.ts';
import { type StraightPoints, straightPoints } from './straight-points.ts';

/** A regular pale grid printed under the creases. */
export interface GuideGrid {
  readonly divisions: number;
  /** The strokes without it. */
  readonly strokes: Strokes;
}

/** Share of the whole grid lines that must be drawn through, and how much of each. */
const LINES_SHARE = 0.6;
const LINE_COVER = 0.65;
/** The grid's strokes are paler than the creases by at least this factor. */
const PALER = 0.5;
/** Fewer divisions than this are creases, not graph paper. */
const LEAST_DIVISIONS = 4;

/**
 * Finds graph paper under the pattern: nearly every whole line of the grid runs right through, and most of those lines
 * are much paler than the diagonals or than a second, darker set of points on the grid lines themselves, all of one colour. Null where
 * there is none.
 */
export function findGuideGrid(strokes: Strokes, ink: InkField, lattice: LatticeFit, sheet: Sheet): GuideGrid | null {
  const points = straightPoints(strokes.ridges, lattice.bend, sheet);
  const amount = inkAround(strokes, ink);
  const pitch = lattice.pitch ?? palePitch(strokes, points, amount, ink, sheet);
  if (!pitch) return null;
  for (const divisions of divisionsToTry(pitch)) {
    // Creases of a finer drawing cover much of every other line.
    const mustBeWhole = divisions < pitch.divisions;
    const limit = paleLimit(points, amount, sheet, divisions, strokes.strokeWidthPx, mustBeWhole);
    if (
      limit > 0 &&
      areOneInk(strokes.ridges, points, (p) => amount[p] < limit, ink, 1 / divisions) &&
      shareOfMaekawa(points, (p) => amount[p] >= limit, squareCrossings(divisions), 1 / sheet.pxPerUnit) < LAWFUL
    )
      return {
        divisions,
        strokes: linkStrokes(
          keepRidges(strokes.ridges, (p) => amount[p] >= limit),
          ink,
        ),
      };
  }
  return null;
}

/** Divisions that the paper may have, the finest first: half units of the drawing may be its whole units, and those of the drawing its half units. */
function divisionsToTry({ divisions, halfUnits }: NonNullable<LatticeFit['pitch']>): number[] {
  return [...(halfUnits ? [2 * divisions] : []), divisions, ...(divisions % 2 === 0 ? [divisions / 2] : [])].filter(
    (n) => n >= LEAST_DIVISIONS,
  );
}

/** Less than this share of the strokes along the grid is no grid. */
const LEAST_PALE = 0.15;
/** How dark the creases of a drawing off the grid are: at this quantile of the strokes in other directions. */
const USUAL_CREASE = 0.6;

/** The pitch of the strokes that are much paler than those in other directions than the grid's: a drawing may keep off the paper's grid. */
function palePitch(
  strokes: Strokes,
  points: StraightPoints,
  amount: Float32Array,
  ink: InkField,
  sheet: Sheet,
): LatticeFit['pitch'] {
  const runsAlong = (p: number) =>
    [0, 2].some((d) => Math.abs(Math.sin(points.angle[p] - GRID_DIRECTIONS[d].angle)) < AXIS_SLACK);
  const all = [...amount.keys()];
  const elsewhere = all
    .filter((p) => !runsAlong(p))
    .map((p) => amount[p])
    .sort((a, b) => a - b);
  const limit = PALER * (elsewhere[Math.floor(USUAL_CREASE * elsewhere.length)] ?? 0);
  const along = all.filter(runsAlong);
  const pale = along.filter((p) => amount[p] < limit);
  if (pale.length < LEAST_PALE * along.length) return null;
  const isPale = new Uint8Array(amount.length);
  for (const p of pale) isPale[p] = 1;
  return findLattice(
    linkStrokes(
      keepRidges(strokes.ridges, (p) => isPale[p] === 1),
      ink,
    ),
    sheet,
  ).pitch;
}

/** Ink across the stroke at each centre-line point (density px): unlike the crest, the same wherever the stroke falls between pixels. */
export function inkAround(strokes: Strokes, ink: InkField): Float32Array {
  const { ridges } = strokes;
  const reach = Math.ceil(strokes.strokeWidthPx / 2) + 1;
  const out = new Float32Array(ridges.count);
  for (let p = 0; p < ridges.count; p++) {
    const x0 = Math.floor(ridges.x[p]);
    const y0 = Math.floor(ridges.y[p]);
    let sum = 0;
    for (let y = Math.max(0, y0 - reach); y <= Math.min(ink.height - 1, y0 + reach); y++)
      for (let x = Math.max(0, x0 - reach); x <= Math.min(ink.width - 1, x0 + reach); x++)
        sum += ink.density[y * ink.width + x];
    out[p] = sum / (2 * reach + 1);
  }
  return out;
}

/** Amount of ink that parts the grid from the creases, or 0 where the points tell of no pale grid, or of none whose lines nearly all run through unbroken where they must. */
function paleLimit(
  points: StraightPoints,
  amount: Float32Array,
  sheet: Sheet,
  divisions: number,
  strokeWidthPx: number,
  mustBeWhole: boolean,
): number {
  const px = 1 / sheet.pxPerUnit;
  const bins = Math.ceil(sheet.pxPerUnit);
  const cover = [0, 2].map(() => Array.from({ length: divisions + 1 }, () => new Uint8Array(bins)));
  const onGrid: number[] = [];
  const elsewhere: number[] = [];
  const near = Math.max(1.5 * px, 0.12 / divisions);
  const crossing = Math.min((strokeWidthPx + CROSSING_PX) * px, CROSSING_SHARE / divisions);
  for (let p = 0; p < points.x.length; p++) {
    const at = [points.x[p], points.y[p]];
    if (at[0] < 0 || at[1] < 0 || at[0] > sheet.width || at[1] > sheet.height) continue;
    // Corners of ink in the crossings run any way.
    const inCrossing = at.every((v) => Math.abs(v - Math.round(v * divisions) / divisions) < crossing);
    let onLine = false;
    let telling = !inCrossing;
    [0, 2].forEach((d, k) => {
      const turn = Math.abs(Math.sin(points.angle[p] - GRID_DIRECTIONS[d].angle));
      const along = at[k];
      const across = at[1 - k] * divisions;
      const index = Math.round(across);
      if (turn > AXIS_SLACK || Math.abs(across - index) / divisions > near) return;
      onLine = true;
      if (index < 0 || index > divisions) return;
      const bin = Math.min(bins - 1, Math.max(0, Math.floor(along / px)));
      for (let b = Math.max(0, bin - 2); b <= Math.min(bins - 1, bin + 2); b++) cover[k][index][b] = 1;
      // The border is drawn on its own terms, and where lines cross there is ink of both.
      const offCrossing = Math.abs(along - Math.round(along * divisions) / divisions);
      if (index === 0 || index === divisions || offCrossing < crossing) telling = false;
    });
    if (telling) (onLine ? onGrid : elsewhere).push(amount[p]);
  }
  let whole = true;
  for (let k = 0; k < 2; k++) {
    const size = k === 0 ? sheet.width : sheet.height;
    const covered = cover[k].slice(1, divisions).map((c) => c.reduce((s, v) => s + v, 0) / (size * bins));
    const linesWith = (least: number) => covered.filter((share) => share >= least).length / covered.length;
    if (linesWith(LINE_COVER) < LINES_SHARE) return 0;
    whole &&= linesWith(WHOLE_COVER) >= WHOLE_SHARE;
  }
  if (mustBeWhole && !whole) return 0;
  onGrid.sort((a, b) => a - b);
  elsewhere.sort((a, b) => a - b);
  // The palest points of a grid line are bare guide; creases cover only part of it.
  const pale = onGrid[Math.floor((whole ? BARE_OF_WHOLE / 2 : PALE_QUANTILE) * onGrid.length)];
  // A drawing may keep to the grid's lines altogether.
  const hasSlanted = elsewhere.length > LEAST_SLANTED * onGrid.length;
  const dark = Math.max(
    onGrid[Math.floor(DARKEST * onGrid.length)],
    hasSlanted ? elsewhere[Math.floor(USUAL_CREASE * elsewhere.length)] : 0,
  );
  if (!(pale < PALER * dark)) return 0;
  const limit = Math.sqrt(pale * dark);
  const shareBelow = (sorted: number[]) => sorted.filter((v) => v < limit).length / Math.max(1, sorted.length);
  // Graph paper has no slanted lines: few slanted points may be as pale as it is.
  const isBare = shareBelow(onGrid) > (whole ? BARE_OF_WHOLE : BARE_SHARE);
  return isBare && (!hasSlanted || shareBelow(elsewhere) < shareBelow(onGrid)) ? limit : 0;
}

/** Points this near to a crossing say nothing of their own line: px beside the stroke's width, at most a share of the step. */
const CROSSING_PX = 2;
const CROSSING_SHARE = 0.3;

/** Where in the sorted amounts of the grid's lines creases are met, and how much else there is of a drawing that has more than them, a share of their points. */
const DARKEST = 0.97;
const LEAST_SLANTED = 0.03;
/** Where in the sorted amounts bare guide is met, and the least share of the grid's length that is bare. */
const PALE_QUANTILE = 0.12;
const BARE_SHARE = 0.2;
/** Where nothing of nearly all lines is missing, less of them need be bare: creases alone leave stretches of the grid blank. */
const BARE_OF_WHOLE = 0.04;
const WHOLE_COVER = 0.9;
const WHOLE_SHARE = 0.85;

/** Sine of the turn up to which a point runs along an axis. */
const AXIS_SLACK = 0.2;
