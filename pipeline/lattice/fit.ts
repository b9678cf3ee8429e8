import type { InkField } from '../ink/ink.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';
import { withoutFaint } from './faint.ts';
import { findGuideGrid } from './guide-grid.ts';
import { findLattice, type LatticeFit } from './lattice.ts';

export interface FittedLattice {
  /** Strokes without the printed grid, if there was one. */
  readonly strokes: Strokes;
  readonly lattice: LatticeFit;
  readonly guideGrid: { readonly divisionsX: number; readonly divisionsY: number } | null;
}

/** The lattice of the creases; a pale printed grid under them is told apart first and then sets the divisions. */
export function fitLattice(drawn: Strokes, ink: InkField, sheet: Sheet, divisions?: number): FittedLattice {
  const strokes = withoutFaint(drawn, ink, sheet);
  const lattice = findLattice(strokes, sheet, divisions);
  const guide = findGuideGrid(strokes, ink, lattice, sheet);
  if (!guide) return { strokes, lattice, guideGrid: null };
  return {
    strokes: guide.strokes,
    lattice: findLattice(guide.strokes, sheet, divisions ?? guide.divisions),
    guideGrid: { divisionsX: guide.divisions, divisionsY: guide.divisions },
  };
}
