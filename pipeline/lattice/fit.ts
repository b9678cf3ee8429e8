import { type Bend, bendAt, NO_BEND } from '../geometry/bend.ts';
import { sidesOf } from '../geometry/sides.ts';
import type { InkField } from '../ink/ink.ts';
import type { Segment } from '../strokes/segments.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { PatternPoint, Recovery, Sheet } from '../types.ts';
import { withoutCurves } from './curves.ts';
import { withoutFaint } from './faint.ts';
import { gatherFree } from './free-lines.ts';
import { GRID_DIRECTIONS, gridDirectionOf } from './grid-directions.ts';
import { findGuideGrid, inkAround } from './guide-grid.ts';
import { findGuideRows } from './guide-rows.ts';
import { withoutHatching } from './hatching.ts';
import { withoutInnerBorder } from './inner-border.ts';
import { findLattice, type LatticeFit, type LatticeOptions, straighten } from './lattice.ts';
import { withoutNoise } from './noise.ts';
import { type Unruled, withoutRuled } from './ruled.ts';
import { middleOfFold, withoutSheetFolds } from './sheet-folds.ts';
import { straightPoints } from './straight-points.ts';

/** A place of ink that was taken for no crease, bend taken out, and why. */
export interface LeftOut {
  readonly at: PatternPoint;
  readonly how: 'ruled' | 'fold' | 'frame' | 'hatched' | 'faint' | 'curved' | 'noise';
}

export interface FittedLattice {
  /** Strokes without the printed grid, if there was one. */
  readonly strokes: Strokes;
  readonly lattice: LatticeFit;
  /** Some places of printed lines, folds of the sheet, a second line of its border, hatching, lines too faint to be creases of this drawing, of curves and of noise, the longest of each. */
  readonly leftOut: readonly LeftOut[];
  readonly guideGrid: Recovery['guideGrid'];
}

/** Share of the ink that runs in the directions of the paper's grid if it is that of the drawing, and how much of that lies within so much of a step of its lines; ... */
const ON_PAPER = 0.5;
const ON_LINES = { share: 0.6, near: 0.15 };
/** ... then the creases show the sheet bent as the printed lines do, to this, pattern units: creases that lie beside them would be bent onto them. */
const MOST_APART = 0.005;
/** No more of them are named. */
const MOST_FAINT = 12;
const MOST_OTHERS = 6;

/** The lattice of the creases; a pale printed grid under them is told apart first and then sets the divisions. */
export function fitLattice(drawn: Strokes, ink: InkField, sheet: Sheet, options: LatticeOptions = {}): FittedLattice {
  const unruled = withoutRuled(drawn, ink, sheet);
  const fitted = fitUnruled(unruled, ink, sheet, options);
  // Squares that are not the drawing's grid are paper.
  return unruled.withoutSquares && !fitted.guideGrid
    ? fitUnruled(unruled.withoutSquares(), ink, sheet, options)
    : fitted;
}

function fitUnruled(
  { strokes: unruled, ruled }: Unruled,
  ink: InkField,
  sheet: Sheet,
  options: LatticeOptions,
): FittedLattice {
  const { strokes: unfolded, folds } = withoutSheetFolds(unruled, ink, sheet);
  const { strokes: unframed, at: frameAt } = withoutInnerBorder(unfolded, ink, sheet);
  const { strokes: unhatched, lines: hatching } = withoutHatching(unframed, ink, sheet);
  const { strokes: uncurved, curves } = withoutCurves(unhatched, ink);
  const { strokes: clear, noise } = clearStrokes(uncurved, ink, sheet, options);
  const { strokes, faint } = withoutFaint(clear, ink, sheet);
  const lattice = latticeOf(strokes, ink, sheet, options);
  const guide = findGuideGrid(strokes, ink, lattice, sheet);
  const px = 1 / sheet.pxPerUnit;
  const straightOf = (s: Segment) => ({ ...straighten(s, sheet, lattice.bend), points: s.points });
  const longest = (of: readonly Segment[]) => [...of].sort((a, b) => b.length - a.length).slice(0, MOST_OTHERS);
  const lines = gatherFree(faint.map(straightOf), px, 2 * strokes.strokeWidthPx * px)
    .sort((a, b) => b.length - a.length)
    .slice(0, MOST_FAINT)
    .map(({ members: [first] }) => first);
  const named = (how: LeftOut['how'], of: readonly { x: number; y: number }[]): LeftOut[] =>
    of.map(({ x, y }) => ({ at: [x, y], how }));
  const leftOut = [
    // What is said of one printed line holds for all.
    ...ruled.slice(0, 1).map((at): LeftOut => ({ at, how: 'ruled' })),
    ...folds.map((fold): LeftOut => ({ at: middleOfFold(fold, sheet), how: 'fold' })),
    ...(frameAt ? [{ at: frameAt, how: 'frame' as const }] : []),
    // One finding for all of it.
    ...named('hatched', longest(hatching).slice(0, 1).map(straightOf)),
    ...named('faint', lines),
    ...named('curved', longest(curves).map(straightOf)),
    ...named('noise', longest(noise).map(straightOf)),
  ];
  if (!guide) {
    const rows = findGuideRows(
      strokes,
      straightPoints(strokes.ridges, lattice.bend, sheet),
      inkAround(strokes, ink),
      ink,
      sheet,
    );
    if (!rows) return { strokes, lattice, leftOut, guideGrid: null };
    // Rows of triangles are the height of one apart.
    const divisions = Math.round((rows.shape === 'triangles' ? Math.sqrt(3) / 2 : 1) / rows.step);
    return {
      strokes: rows.strokes,
      leftOut,
      lattice: latticeOf(rows.strokes, ink, sheet, options),
      guideGrid: { divisionsX: divisions, divisionsY: divisions, shape: rows.shape },
    };
  }
  const onPaper = latticeOf(guide.strokes, ink, sheet, { divisions: guide.divisions, ...options });
  // Squared paper may lie under any drawing.
  const isOnPaper = keepsToGrid(onPaper, px) && farthestApart(onPaper.bend, lattice.bend, sheet) < MOST_APART;
  return {
    strokes: guide.strokes,
    leftOut,
    lattice: isOnPaper ? onPaper : latticeOf(guide.strokes, ink, sheet, options),
    guideGrid: { divisionsX: guide.divisions, divisionsY: guide.divisions },
  };
}

/** Whether a drawing on squared paper was drawn along its lines: two thirds of it would lie elsewhere by chance. */
function keepsToGrid({ straight, step }: LatticeFit, px: number): boolean {
  let [all, along, onLines] = [0, 0, 0];
  for (const s of straight) {
    all += s.length;
    const d = gridDirectionOf(s, px);
    if (d < 0) continue;
    along += s.length;
    const at = (GRID_DIRECTIONS[d].a * s.x + GRID_DIRECTIONS[d].b * s.y) / step;
    if (Math.abs(at - Math.round(at)) < ON_LINES.near) onLines += s.length;
  }
  return along > ON_PAPER * all && onLines > ON_LINES.share * along;
}

/** A sheet with straight sides whose corners, or any place if a program drew it, a bend moves farther than the outline may be off, ... */
const DRAWN_FLAT = { bow: 0.002, bend: 0.005 };
/** ... was laid on a grid that it does not have if a program drew it, or if a side leaves the grid's directions by more than this, radians. */
const OFF_DIRECTIONS = 0.1;

function latticeOf(strokes: Strokes, ink: InkField, sheet: Sheet, options: LatticeOptions): LatticeFit {
  const fit = findLattice(strokes, sheet, options);
  const hasOtherSides = sidesOf(sheet.polygon).some(({ nx, ny }) => {
    const eighth = Math.PI / 4;
    const off = Math.atan2(ny, nx) / eighth;
    return Math.abs(off - Math.round(off)) * eighth > OFF_DIRECTIONS;
  });
  const isFlat = (ink.plain || hasOtherSides) && (sheet.bow ?? 0) < DRAWN_FLAT.bow;
  const isBent =
    sheet.polygon.some(([x, y]) => Math.hypot(...bendAt(fit.bend, x, y)) > DRAWN_FLAT.bend) ||
    (ink.plain && farthestApart(fit.bend, NO_BEND, sheet) > DRAWN_FLAT.bend);
  return isFlat && isBent ? findLattice(strokes, sheet, { ...options, flat: true }) : fit;
}

/** The strokes without noise; pale creases among it come back where they lie on the grid of the others. */
function clearStrokes(
  drawn: Strokes,
  ink: InkField,
  sheet: Sheet,
  options: LatticeOptions,
): ReturnType<typeof withoutNoise> {
  const first = withoutNoise(drawn, ink, sheet);
  if (first.noise.length === 0) return first;
  const lattice = findLattice(first.strokes, sheet, options);
  return lattice.pitch ? withoutNoise(drawn, ink, sheet, lattice) : first;
}

/** Places on the sheet at which bends are compared, along each side. */
const COMPARED = 7;

/** How far two bends lay the same place apart at most, pattern units. */
function farthestApart(one: Bend, other: Bend, { width, height }: Sheet): number {
  let most = 0;
  for (let i = 0; i < COMPARED; i++) {
    for (let j = 0; j < COMPARED; j++) {
      const [x, y] = [(width * (i + 0.5)) / COMPARED, (height * (j + 0.5)) / COMPARED];
      const [ax, ay] = bendAt(one, x, y);
      const [bx, by] = bendAt(other, x, y);
      most = Math.max(most, Math.hypot(ax - bx, ay - by));
    }
  }
  return most;
}
