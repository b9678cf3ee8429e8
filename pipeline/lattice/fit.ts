import type { InkField } from '../ink/ink.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { PatternPoint, Sheet } from '../types.ts';
import { withoutFaint } from './faint.ts';
import { gatherFree } from './free-lines.ts';
import { findGuideGrid } from './guide-grid.ts';
import { findLattice, type LatticeFit, type LatticeOptions, straighten } from './lattice.ts';
import { withoutNoise } from './noise.ts';

export interface FittedLattice {
  /** Strokes without the printed grid, if there was one. */
  readonly strokes: Strokes;
  readonly lattice: LatticeFit;
  /** Places of lines too faint to be creases of this drawing, one a line, longest first, bend taken out. */
  readonly faint: readonly PatternPoint[];
  readonly guideGrid: { readonly divisionsX: number; readonly divisionsY: number } | null;
}

/** No more of them are named. */
const MOST_FAINT = 12;

/** The lattice of the creases; a pale printed grid under them is told apart first and then sets the divisions. */
export function fitLattice(drawn: Strokes, ink: InkField, sheet: Sheet, options: LatticeOptions = {}): FittedLattice {
  const { strokes, faint: lines } = withoutFaint(clearStrokes(drawn, ink, sheet, options), ink, sheet);
  const lattice = findLattice(strokes, sheet, options);
  const guide = findGuideGrid(strokes, ink, lattice, sheet);
  const px = 1 / sheet.pxPerUnit;
  const pieces = lines.map((s) => ({ ...straighten(s, sheet, lattice.bend), points: s.points }));
  const faint = gatherFree(pieces, px, 2 * strokes.strokeWidthPx * px)
    .sort((a, b) => b.length - a.length)
    .slice(0, MOST_FAINT)
    .map(({ members: [longest] }): PatternPoint => [longest.x, longest.y]);
  if (!guide) return { strokes, lattice, faint, guideGrid: null };
  return {
    strokes: guide.strokes,
    faint,
    lattice: findLattice(guide.strokes, sheet, { divisions: guide.divisions, ...options }),
    guideGrid: { divisionsX: guide.divisions, divisionsY: guide.divisions },
  };
}

/** The strokes without noise; pale creases among it come back where they lie on the grid of the others. */
function clearStrokes(drawn: Strokes, ink: InkField, sheet: Sheet, options: LatticeOptions): Strokes {
  const { strokes, noise } = withoutNoise(drawn, ink, sheet);
  if (noise.length === 0) return drawn;
  const lattice = findLattice(strokes, sheet, options);
  return lattice.pitch ? withoutNoise(drawn, ink, sheet, lattice).strokes : strokes;
}
