/** Corners of a curled sheet that a stiff bend leaves off the grid. */
import { type Bend, fitBend } from '../geometry/bend.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';
import { gridSamples, gridSpread, strayedShare } from './grid-samples.ts';
import type { StraightSegment } from './straight-segment.ts';

/** Lines are followed that lie this near to one of the grid, a share of the step: farther off they may belong to the next. */
const REACH = 0.38;
/** Misses count fully up to about this share of the step, so that lines far off draw the bend after them, round after round. */
const SCALES = [0.2, 0.1, 0.05];
const DEGREE = 9;
const PULL = 1e-6;
/** Where more of the lines strays the grid itself is in question. */
const MOST_STRAYING = 0.15;
/** The freer bend must leave at most this share of them astray, and this share of the spread of all: lines that were drawn beside the grid come onto it alone. */
const LEFT_STRAYING = 0.4;
const WORTH = 0.8;

export interface Followed {
  readonly bend: Bend;
  readonly straight: readonly StraightSegment[];
  readonly spread: number;
}

/**
 * The bend, freer where lines stray from the grid that nearly all others keep to: at the rim of a curled sheet few lines tell how it bends, and they
 * lie off by too much to be told from strays, all to the same side.
 *
 * @param straightenBy takes a bend out of the segments
 * @returns null where that brings no line home
 */
export function followGrid(
  strokes: Strokes,
  { bend, straight, spread }: Followed,
  straightenBy: (bend: Bend) => StraightSegment[],
  { step, least }: { readonly step: number; readonly least: number },
  sheet: Sheet,
): Followed | null {
  const px = 1 / sheet.pxPerUnit;
  const near = Math.max(5 * spread, 1.5 * px);
  const before = strayedShare(straight, step, least, near, px);
  if (before === 0 || before > MOST_STRAYING || near > REACH * step) return null;
  let now: Followed = { bend, straight, spread };
  for (const scale of SCALES) {
    const samples = gridSamples(strokes, now.straight, { step, least, reach: REACH * step }, sheet);
    const next = fitBend(samples, DEGREE, scale * step, PULL, bend);
    const straighter = straightenBy(next);
    now = { bend: next, straight: straighter, spread: gridSpread(straighter, step, least, px) };
  }
  const after = strayedShare(now.straight, step, least, near, px);
  return after < LEFT_STRAYING * before && now.spread < WORTH * spread ? now : null;
}
