/** Exact corners of the sheet. */
import { EXACT_ONE, EXACT_ZERO, exact } from '../geometry/exact.ts';
import type { Exact, ExactPoint, Sheet } from '../types.ts';
import { smallFit } from './small-fits.ts';

/** A side measured as 0 or 1 was set so: the longest side is the unit. */
const ROUNDING = 1e-6;
/** How well the shape of a sheet that is not square is known, pattern units. */
const SHAPE_TOLERANCE = 0.004;
/** With a grid, corners may be off it by this much, pattern units, and by this share of a half step. */
const GRID_TOLERANCE = 0.01;
const STEP_SHARE = 0.3;
const MOST_BY_CHANCE = 0.2;

/**
 * Corners of the sheet as exact points, in the order of its polygon; null where no number fits without doubt.
 *
 * @param parts grid points to a unit, half units included; 0 without a grid
 */
export function exactCorners(sheet: Pick<Sheet, 'polygon'>, parts: number, root: 2 | 3): (ExactPoint | null)[] {
  return sheet.polygon.map(([x, y]) => {
    const ex = exactSide(x, parts, root);
    const ey = exactSide(y, parts, root);
    return ex && ey ? [ex, ey] : null;
  });
}

function exactSide(value: number, parts: number, root: 2 | 3): Exact | null {
  if (Math.abs(value) < ROUNDING) return EXACT_ZERO;
  if (Math.abs(value - 1) < ROUNDING) return EXACT_ONE;
  if (parts > 0) {
    const k = Math.round(value * parts);
    return Math.abs(k / parts - value) <= Math.min(GRID_TOLERANCE, STEP_SHARE / parts) ? exact(k, parts) : null;
  }
  const fit = smallFit(value, SHAPE_TOLERANCE, root);
  return fit && fit.byChance <= MOST_BY_CHANCE ? fit.value : null;
}
