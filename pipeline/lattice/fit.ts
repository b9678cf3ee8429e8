import type { InkField } from '../ink/ink.ts';
import type { Segment } from '../strokes/segments.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { PatternPoint, Sheet } from '../types.ts';
import { withoutCurves } from './curves.ts';
import { withoutFaint } from './faint.ts';
import { gatherFree } from './free-lines.ts';
import { findGuideGrid } from './guide-grid.ts';
import { findLattice, type LatticeFit, type LatticeOptions, straighten } from './lattice.ts';
import { withoutNoise } from './noise.ts';
import { middleOfFold, withoutSheetFolds } from './sheet-folds.ts';

/** A place of ink that was taken for no crease, bend taken out, and why. */
export interface LeftOut {
  readonly at: PatternPoint;
  readonly how: 'fold' | 'faint' | 'curved' | 'noise';
}

export interface FittedLattice {
  /** Strokes without the printed grid, if there was one. */
  readonly strokes: Strokes;
  readonly lattice: LatticeFit;
  /** Some places of folds of the sheet, lines too faint to be creases of this drawing, of curves and of noise, the longest of each. */
  readonly leftOut: readonly LeftOut[];
  readonly guideGrid: { readonly divisionsX: number; readonly divisionsY: number } | null;
}

/** No more of them are named. */
const MOST_FAINT = 12;
const MOST_OTHERS = 6;

/** The lattice of the creases; a pale printed grid under them is told apart first and then sets the divisions. */
export function fitLattice(drawn: Strokes, ink: InkField, sheet: Sheet, options: LatticeOptions = {}): FittedLattice {
  const { strokes: unfolded, folds } = withoutSheetFolds(drawn, ink, sheet);
  const { strokes: uncurved, curves } = withoutCurves(unfolded, ink);
  const { strokes: clear, noise } = clearStrokes(uncurved, ink, sheet, options);
  const { strokes, faint } = withoutFaint(clear, ink, sheet);
  const lattice = findLattice(strokes, sheet, options);
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
    ...folds.map((fold): LeftOut => ({ at: middleOfFold(fold, sheet), how: 'fold' })),
    ...named('faint', lines),
    ...named('curved', longest(curves).map(straightOf)),
    ...named('noise', longest(noise).map(straightOf)),
  ];
  if (!guide) return { strokes, lattice, leftOut, guideGrid: null };
  return {
    strokes: guide.strokes,
    leftOut,
    lattice: findLattice(guide.strokes, sheet, { divisions: guide.divisions, ...options }),
    guideGrid: { divisionsX: guide.divisions, divisionsY: guide.divisions },
  };
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
